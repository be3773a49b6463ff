/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "write/cautions.h"

#include <string.h>

const char sb_caution_first[] =
    "The machine's manual, local codes and licensed practice come first. Where they say something "
    "else, do that.";

/* Sources, in order: engine, key, brake, lock and block: grain-company identity-preservation
 * procedure sheet (snobelengrain.com, combine clean procedures). Lock-out before rock trap and
 * tank, tank and auger, cooling: common practice, no source. 15 m (50 ft): Anderson, Jarek,
 * Johnson, Ohnesorg, Hanna, Between-field combine clean-out (ISU/UW/NDSU/UNL). Respirator, eyes,
 * ears, gloves, clothing: farmprogress.com, Clean out combine between fields, 2021-08-19. Two
 * people: aafarmer.co.uk, Procedures prevent black-grass spread. Two 10 lb (4.5 kg) ABC
 * extinguishers, one within reach from the ground, pull away from the crop: Shutske, University of
 * Wisconsin. Shields back: common practice, no source. */
const char *const sb_cautions[] = {
    "Engine off, key out and in a pocket, brake set, before anyone reaches into the machine.",
    "Feeder-house safety lock on and header mechanically blocked before anyone is under it.",
    "Lock-out before opening the rock trap or entering the tank.",
    "Never in the grain tank while its auger can run.",
    "During the self-clean run everyone stands 15 m (50 ft) away; wait until everything has "
    "stopped turning.",
    "Let the machine cool before blowing dust near hot parts.",
    "Respirator (N95 or P100), eye and ear protection, gloves, no loose clothing.",
    "Two people on the job, in sight of each other.",
    "Fire extinguishers in reach, one from the ground. If it burns: pull away from the crop.",
    "Shields back on and doors closed before driving off.",
};
const size_t sb_n_cautions = sizeof sb_cautions / sizeof *sb_cautions;

const char *sb_step_caution(const char *section)
{
    static const struct {
        const char *section, *text;
    } cautions[] = {
        {"", "Everyone 15 m (50 ft) away while it runs."},
        {"header", "Key out. Safety lock on, header blocked."},
        {"rock_trap", "Key out, lock-out first."},
        {"threshing", "Key out. Wait until the rotor stands still."},
        {"shoe", "Key out. Wait until fan and sieves stand still."},
        {"tank", "Key out, lock-out first. Nobody in the tank while the auger can run."},
        {"chopper", "Key out. Knives keep turning: wait."},
    };
    for (size_t i = 0; i < sizeof cautions / sizeof *cautions; i++)
        if (strcmp(cautions[i].section, section) == 0)
            return cautions[i].text;
    return NULL;
}
