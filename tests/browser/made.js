// SPDX-License-Identifier: GPL-3.0-or-later
// Seasons made for the browser tests, written by the seedbreak under test: page(name) is the path
// of its season.html.
'use strict';

const { execFileSync } = require('node:child_process');
const fs = require('node:fs');
const path = require('node:path');

const { SEEDBREAK, WORK } = process.env;
const ROOT = path.resolve(__dirname, '../..');

// Words that a file may bring, none of which may do anything.
const HOSTILE = [
  '<script>window.hit = 1</script>',
  '"><img src=x onerror="window.hit = 1">',
  "' onmouseover='window.hit = 1' x='",
  '</title></svg><svg onload="window.hit = 1">',
  '</style><style>* { display: none !important }</style>',
  '</script><script>window.hit = 1</script>',
  ']]>--><!-- &amp; &lt;script&gt;',
  'javascript:window.hit = 1',
  '\u202Egnp.exe \u05E9\u05DC\u05D5\u05DD \u05E2\u05D5\u05DC\u05DD',
  'W'.repeat(200),
  '\u9577\u3044\u540D\u524D\u306E\u7551'.repeat(12),
  '${window.hit = 1} {{7*7}} %s %n',
  '\u{1F468}\u200D\u{1F469}\u200D\u{1F33E} \u{1F33E}\u{1F3FD} field',
  'a\u0323\u0302\u0308z'.repeat(30),
  '\u202Eabc\u2066def\u202Dghi',
];

const escape = (text) => text.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/>/g, '&gt;').replace(/"/g, '&quot;');

// One sequence on every machine (a linear congruential generator, constants of Numerical Recipes).
function random(seed) {
  let state = seed >>> 0;
  return () => (state = (Math.imul(state, 1664525) + 1013904223) >>> 0) / 2 ** 32;
}

function placemark(name, data, shape) {
  const attributes = Object.entries(data)
    .map(([key, value]) => `<Data name="${key}"><value>${escape(String(value))}</value></Data>`).join('');
  return `<Placemark><name>${escape(name)}</name><ExtendedData>${attributes}</ExtendedData>${shape}</Placemark>`;
}

// Fields in clusters, of 4 to 14 corners, rated for three weeds; two yards.
function fields(names) {
  const next = random(names.length);
  const marks = names.map((name, i) => {
    const lon = -97 + 0.22 * (i % 4) + 0.09 * next();
    const lat = 41 + 0.17 * (Math.floor(i / 4) % 3) + 0.07 * next();
    const reach = 0.0035 + 0.003 * next();
    const corners = 4 + Math.floor(next() * 11);
    const ring = [];
    for (let c = 0; c <= corners; c++) {
      const angle = (2 * Math.PI * (c % corners)) / corners;
      ring.push(`${(lon + 1.3 * reach * Math.cos(angle)).toFixed(6)},${(lat + reach * Math.sin(angle)).toFixed(6)}`);
    }
    const rating = () => [0, 0, 0, 0, 1, 1, 2, 3, 4][Math.floor(next() * 9)];
    return placemark(name, {
      crop: ['wheat', 'barley', 'soybean'][i % 3], grower: `Grower ${'ABCD'[i % 4]}`, ready: i % 3 === 2 ? '2026-09-12' : '2026-08-02',
      'weed:waterhemp': rating(), 'weed:kochia': rating(), 'weed:wild_oat': rating(),
    }, `<Polygon><outerBoundaryIs><LinearRing><coordinates>${ring.join(' ')}</coordinates></LinearRing></outerBoundaryIs></Polygon>`);
  });
  for (const [name, lon, lat] of [['Shop', -96.7, 41.2], ['Far Yard', -96.95, 41.35]])
    marks.push(placemark(name, { role: 'yard' }, `<Point><coordinates>${lon},${lat}</coordinates></Point>`));
  return `<?xml version="1.0" encoding="UTF-8"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>${marks.join('\n')}</Document></kml>`;
}

const MACHINES = [
  '<machine id="red" name="Big one" yard="Shop" ha_per_hour="6" road_km_h="25" cost_per_km="4" cost_per_hour="120" season_hours="1500" header_m="12" final_cleanout="deep"/>',
  '<machine id="blue" name="Small one" yard="Far Yard" ha_per_hour="4" road_km_h="28" cost_per_km="3" cost_per_hour="90" season_hours="1500" header_m="9" final_cleanout="thorough"/>',
];

// A plan by hand: the fields in their order, every few stops a cleanout, shared out among machines.
function plan(names, machines) {
  const levels = ['none', 'none', 'blowdown', 'none', 'none', 'thorough', 'none', 'none', 'deep'];
  const stops = names.map((field, i) => ({ field, cleanout: levels[i % levels.length] }));
  const share = Math.ceil(stops.length / machines);
  return {
    format: 'seedbreak-plan', version: 1,
    machines: Array.from({ length: machines }, (_, m) => ({ id: ['red', 'blue'][m], stops: stops.slice(m * share, (m + 1) * share) })),
  };
}

// Rules of every kind, some of which most orders break.
const RULES = `<limits full_cleanouts="3" cleaning_cost="2500" loss_per_grower="20000"/>
<crop id="wheat" delay_per_day="0.02"/>
<field name="North Quarter 1" latest="2026-08-12" best_before="2026-08-04"><limit weed="kochia" seeds_ha="50"/></field>
<field name="South Bench 2" entry="thorough" after="Old Quarter 4"/>
<field name="Upper Slough 3" tank_limit_seeds_kg="0.5" worth="3"/>
<field name="Old Quarter 4" best_before="2026-08-10" only="red"/>`;

function made(name, names, machines, rules = '') {
  const folder = path.join(WORK, name);
  fs.mkdirSync(folder, { recursive: true });
  const file = (leaf, content) => {
    fs.writeFileSync(path.join(folder, leaf), content);
    return path.join(folder, leaf);
  };
  const inputs = [
    file('fields.kml', fields(names)),
    file('season.xml', `<season xmlns="urn:seedbreak:season:1"><calendar start="2026-08-01" hours_per_day="11" day_starts="08:30"/>${MACHINES.slice(0, machines).join('')}${rules}</season>`),
  ];
  const planned = file('by_hand.json', JSON.stringify(plan(names, machines)));
  execFileSync(SEEDBREAK, ['trace', ...inputs, '--plan', planned, '--out', path.join(folder, 'out'), '--quiet'], { stdio: ['ignore', 'ignore', 'inherit'] });
  return { folder, inputs, html: path.join(folder, 'out', 'season.html'), plan: path.join(folder, 'out', 'plan.json') };
}

function demo() {
  const folder = path.join(WORK, 'demo');
  const inputs = ['fields.kml', 'scouting.gpx', 'season.xml'].map((leaf) => path.join(ROOT, 'demo', leaf));
  if (!fs.existsSync(path.join(folder, 'season.html')))
    execFileSync(SEEDBREAK, ['order', ...inputs, '--time-limit', '3', '--out', folder, '--quiet'], { stdio: ['ignore', 'ignore', 'inherit'] });
  return { folder, inputs, html: path.join(folder, 'season.html'), plan: path.join(folder, 'plan.json') };
}

// Eight fields in which everything grows that is in no more than so many weeds.
function weedy(n) {
  const weeds = ['waterhemp', 'kochia', 'ryegrass', 'wild_oat', 'giant_ragweed', 'brome', 'cleavers', 'charlock'].slice(0, n);
  const own = weeds.slice(5).map((id) => `<weed id="${id}" name="${id}" seeds_per_plant="300" retained="0.6" header_loss="0.25" viability="0.9" emergence="0.3" survival="0.9" control="0.9" cost_per_plant="1" crowding_plants_m2="10"/>`);
  const folder = path.join(WORK, `weeds${n}`);
  fs.mkdirSync(folder, { recursive: true });
  const marks = numbered(8).map((name, i) => placemark(name,
    Object.fromEntries([['crop', 'wheat'], ['area_ha', 60], ['role', 'field'], ...weeds.map((weed, w) => [`weed:${weed}`, (3 * i + 2 * w) % 5])]),
    `<Point><coordinates>${-97 + 0.1 * (i % 4)},${41 + 0.1 * Math.floor(i / 4)}</coordinates></Point>`));
  const inputs = [['fields.kml', `<kml xmlns="http://www.opengis.net/kml/2.2"><Document>${marks.join('')}</Document></kml>`],
    ['season.xml', `<season xmlns="urn:seedbreak:season:1">${own.join('')}${MACHINES[0].replace('Shop', '')}</season>`.replace('yard="" ', '')]]
    .map(([leaf, content]) => { fs.writeFileSync(path.join(folder, leaf), content); return path.join(folder, leaf); });
  const planned = path.join(folder, 'by_hand.json');
  fs.writeFileSync(planned, JSON.stringify(plan(numbered(8), 1)));
  execFileSync(SEEDBREAK, ['trace', ...inputs, '--plan', planned, '--out', folder, '--quiet'], { stdio: ['ignore', 'ignore', 'inherit'] });
  return { folder, inputs, html: path.join(folder, 'season.html'), plan: path.join(folder, 'plan.json') };
}

// What is left of the fourteen fields after the first was cut and a day was lost. A log grows: each
// process has its own.
function rest() {
  const { inputs } = season('fourteen');
  const folder = path.join(WORK, `rest-${process.pid}`);
  fs.mkdirSync(folder, { recursive: true });
  const log = path.join(folder, 'season.log');
  for (const entry of [['cut', numbered(14)[0], '--to', '2026-08-06T12:00'], ['lost', '2026-08-08']])
    execFileSync(SEEDBREAK, ['log', ...inputs, '--log', log, ...entry, '--quiet'], { stdio: ['ignore', 'ignore', 'inherit'] });
  execFileSync(SEEDBREAK, ['resume', ...inputs, '--log', log, '--time-limit', '5', '--out', folder, '--quiet'], { stdio: ['ignore', 'ignore', 'inherit'] });
  return { folder, inputs, log, html: path.join(folder, 'season.html'), plan: path.join(folder, 'plan.json') };
}

// Three machines, nine growers, by a plan kept beside this: a search stopped by the clock finds
// another one on another day.
function coop() {
  const folder = path.join(WORK, 'coop');
  const inputs = ['fields.kml', 'season.xml'].map((leaf) => path.join(ROOT, 'demo', 'coop', leaf));
  const planned = path.join(__dirname, 'coop_plan.json');
  if (!fs.existsSync(path.join(folder, 'season.html')))
    execFileSync(SEEDBREAK, ['trace', ...inputs, '--plan', planned, '--out', folder, '--quiet'], { stdio: ['ignore', 'ignore', 'inherit'] });
  return { folder, inputs, html: path.join(folder, 'season.html'), plan: path.join(folder, 'plan.json') };
}

// The demo's plan over sampled seasons: its page has the band of the loads.
function doubted() {
  const { inputs, plan: planned } = demo();
  const folder = path.join(WORK, 'doubted');
  execFileSync(SEEDBREAK, ['doubt', ...inputs, '--plan', planned, '--against', planned, '--samples', '200', '--out', folder, '--quiet'], { stdio: ['ignore', 'ignore', 'inherit'] });
  return { folder, inputs, html: path.join(folder, 'season.html'), plan: planned };
}

// The demo's trade-off curve, with a page of its own.
function weighed() {
  const { inputs } = demo();
  const folder = path.join(WORK, 'weighed');
  execFileSync(SEEDBREAK, ['weigh', ...inputs, '--time-limit', '20', '--out', folder, '--quiet'], { stdio: ['ignore', 'ignore', 'inherit'] });
  return { folder, inputs, html: path.join(folder, 'season.html'), curve: path.join(folder, 'curve.json') };
}

const numbered = (n) => Array.from({ length: n }, (_, i) => `${['North', 'South', 'Upper', 'Old'][i % 4]} ${['Quarter', 'Bench', 'Slough'][i % 3]} ${i + 1}`);

const makers = {
  demo,
  coop,
  doubted,
  weighed,
  fourteen: () => made('fourteen', numbered(14), 1),
  sixty: () => made('sixty', numbered(60), 1),
  two: () => made('two', numbered(24), 2),
  hostile: () => made('hostile', HOSTILE, 1),
  rest,
  weeds5: () => weedy(5),
  weeds6: () => weedy(6),
  weeds8: () => weedy(8),
  rules: () => made('rules', numbered(12), 2, RULES),
};

const seasons = {};
// The season's files, written once.
function season(name) {
  seasons[name] ??= makers[name]();
  return seasons[name];
}

module.exports = { HOSTILE, random, season };
