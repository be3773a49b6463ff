/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A season of the bench as a compact mixed-integer program, for tests/bench/milp/run:
 *     write_milp SIZE SEED WEEDS FILE.mps FILE.lp */
#include <stdio.h>
#include <stdlib.h>

#include "bench_season.h"
#include "flow_bound.h"

int main(int argc, char **argv)
{
    if (argc != 6) {
        fprintf(stderr, "usage: write_milp SIZE SEED WEEDS FILE.mps FILE.lp\n");
        return 2;
    }
    bench_options options = {atoi(argv[1]), (uint64_t)atol(argv[2]), atoi(argv[3]), false};
    if (options.n_fields < 1)
        return 2;
    sb_season *season = bench_season(&options);
    glp_prob *lp = season == NULL ? NULL : flow_program(season);
    int failed = 1;
    if (lp != NULL) {
        failed = glp_write_mps(lp, GLP_MPS_FILE, NULL, argv[4]) + glp_write_lp(lp, NULL, argv[5]);
        printf("%d rows, %d columns (%d binary), %d coefficients\n", glp_get_num_rows(lp),
               glp_get_num_cols(lp), glp_get_num_bin(lp), glp_get_num_nz(lp));
        glp_delete_prob(lp);
        glp_free_env();
    }
    sb_season_free(season);
    return failed != 0;
}
