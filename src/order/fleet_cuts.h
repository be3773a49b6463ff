/* SPDX-License-Identifier: GPL-3.0-or-later */
/** Entry cuts: fields that take more hours than one machine has want more than one to come in
 * (rounded capacity cuts: Laporte & Nobert 1983, from memory). */
#ifndef SB_ORDER_FLEET_CUTS_H
#define SB_ORDER_FLEET_CUTS_H

#include "order/fleet_prover.h"

/** Looks for cuts that the master's present solution breaks and adds them to the pool.
 * @return true: some were found */
bool sb_prover_cut(sb_prover *s);

#endif
