// SPDX-License-Identifier: GPL-3.0-or-later
// Solves a CPLEX LP file with HiGHS (npm package `highs`): node solve_highs.js FILE.lp SECONDS
// Prints status, objective and seconds; loading the package is not counted.
const fs = require("fs");

require("highs")().then((highs) => {
  const text = fs.readFileSync(process.argv[2], "utf8");
  const begin = process.hrtime.bigint();
  const answer = highs.solve(text, {
    time_limit: Number(process.argv[3]),
    mip_rel_gap: 1e-7,
    output_flag: false,
  });
  const seconds = Number(process.hrtime.bigint() - begin) / 1e9;
  console.log(`${answer.Status.replace(/ /g, "_")} ${answer.ObjectiveValue} ${seconds}`);
});
