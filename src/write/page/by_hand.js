// SPDX-License-Identifier: GPL-3.0-or-later
// Plans by hand. The model is the library's own, as WebAssembly; here are only the list that people
// change, and the plan.json they save.

const byHand = (() => {
  const section = document.getElementById('by-hand');
  const data = (id) => document.getElementById(id)?.textContent ?? '';
  let model = null; // its exports
  let season = null; // names, parts, and the plan as it was written
  let routes = []; // the plan as it is now: { machine, final, stops: [[field, cleanout], ...] }
  let first = null; // what the plan as written comes to
  let shown = null; // and the plan as it is now
  const written = {}; // and what is said about it that no plan by hand has: proof, reasons, bands
  let later = 0;
  const rows = new Map(); // by field
  let lists = null; // by route

  // ---- The model ----

  // printf's %g: as many significant digits, without zeros at the end.
  function general(value, digits) {
    if (value === 0) return Object.is(value, -0) ? '-0' : '0';
    const precision = Math.max(digits, 1);
    const [mantissa, power] = value.toExponential(precision - 1).split('e');
    const exponent = Number(power);
    const trim = (text) => (text.includes('.') ? text.replace(/\.?0+$/, '') : text);
    if (exponent >= -4 && exponent < precision) return trim(value.toFixed(precision - 1 - exponent));
    return `${trim(mantissa)}e${exponent < 0 ? '-' : '+'}${String(Math.abs(exponent)).padStart(2, '0')}`;
  }

  // C rounds a number that lies exactly between two to the even one, JavaScript away from zero.
  function fixed(value, decimals) {
    const text = value.toFixed(decimals);
    const scaled = Math.abs(value) * 10 ** decimals;
    const tie = scaled % 1 === 0.5 && (Math.floor(scaled) + 0.5) / 10 ** decimals === Math.abs(value);
    if (!tie || Math.floor(scaled) % 2 === 1) return text;
    const even = (Math.floor(scaled) / 10 ** decimals).toFixed(decimals);
    return value < 0 ? `-${even}` : even;
  }

  const special = (value) => (Number.isNaN(value) ? 'nan' : value < 0 ? '-inf' : 'inf');

  function write(text, at) {
    const bytes = new TextEncoder().encode(text);
    new Uint8Array(model.memory.buffer).set(bytes, at);
    return bytes.length;
  }

  const host = {
    exp: Math.exp, expm1: Math.expm1, log10: Math.log10, pow: Math.pow, sin: Math.sin, cos: Math.cos,
    host_fixed: (value, decimals, at) => write(Number.isFinite(value) ? fixed(value, decimals) : special(value), at),
    host_general: (value, digits, at) => write(Number.isFinite(value) ? general(value, digits) : special(value), at),
  };

  const said = () =>
    new TextDecoder().decode(new Uint8Array(model.memory.buffer, model.text_bytes(), model.text_length()).slice());

  // Prices and checks a plan: its five costs and the rules it breaks. What was drawn before is gone.
  function evaluate(plan) {
    const numbers = plan.flatMap((route) => [route.machine, route.stops.length, route.final, ...route.stops.flat()]);
    model.begin_plan();
    const at = model.room(4 * numbers.length);
    new Int32Array(model.memory.buffer, at, numbers.length).set(numbers);
    if (model.price(at, plan.length) !== 0) throw new Error('the plan could not be priced');
    const [travel, cleanout, spread, delay, total] = new Float64Array(model.memory.buffer, model.costs(), 5);
    const broken = model.check();
    return { travel, cleanout, spread, delay, total, broken, rules: broken > 0 ? said().split('\n') : [] };
  }

  const unchanged = () => JSON.stringify(routes) === JSON.stringify(season.routes);

  function draw(id) {
    const part = document.getElementById(`part-${id}`);
    if (id in written && unchanged()) {
      part.innerHTML = written[id];
      return;
    }
    if (model.draw(season.parts.indexOf(id)) !== 0) throw new Error(`${id} could not be drawn`);
    delete part.dataset.packed;
    part.innerHTML = said();
  }

  // ---- What it comes to ----

  const money = (value) => `${Math.round(value).toLocaleString('en-US')} ${season.currency}`;

  function paragraph(text, className) {
    const element = document.createElement('p');
    element.className = className;
    element.textContent = text;
    return element;
  }

  function showResult(result) {
    shown = result;
    const more = result.total - first.total;
    const compared = Math.abs(more) < 0.005 ? 'as much as the plan'
      : `${money(Math.abs(more))} ${more > 0 ? 'more' : 'less'} than the plan`;
    const rules = document.createElement('ul');
    for (const rule of result.rules) {
      const item = document.createElement('li');
      item.textContent = rule;
      rules.append(item);
    }
    document.getElementById('hand-result').replaceChildren(
      paragraph(Number.isFinite(result.total) ? `${money(result.total)}: ${compared}.` : 'There is no way for one of these moves.', 'verdict'),
      paragraph(result.broken > 0 ? `It breaks ${result.broken} rule${result.broken === 1 ? '' : 's'}:` : 'It keeps every rule.', result.broken > 0 ? 'broken' : 'kept'),
      rules);
  }

  // Draws parts one after the other, so that the page answers in between.
  function drawLater(ids) {
    later = 0;
    if (ids.length === 0) return;
    later = setTimeout(() => {
      draw(ids[0]);
      seasonPage.redrawn();
      drawLater(ids.slice(1));
    }, 0);
  }

  const inView = (ids) => ids.filter((id) => {
    const box = document.getElementById(`part-${id}`).getBoundingClientRect();
    return box.bottom > 0 && box.top < innerHeight;
  });

  // List, price and some parts as the plan is now. Pictures above the list may grow or shrink; the page
  // is scrolled by as much, so that the list stays where it is, under the finger. Where things are is
  // asked before the first change and after the last: in between, the browser would lay out the page again.
  function redraw(ids) {
    const list = document.getElementById('hand-lists');
    const top = () => list.getBoundingClientRect().top;
    const before = top();
    showLists();
    const result = evaluate(routes);
    showResult(result);
    ids.forEach(draw);
    seasonPage.redrawn();
    const by = top() - before;
    if (by !== 0) scrollBy({ top: by, behavior: 'instant' });
    return result;
  }

  // The price and what is in view at once, the rest as soon as the hand rests.
  function refresh() {
    clearTimeout(later);
    const now = season.parts.filter((id) => id === 'totals' || inView([id]).length > 0);
    const result = redraw(now);
    drawLater(season.parts.filter((id) => !now.includes(id)));
    return result;
  }

  // ---- The list ----

  function button(text, label, action) {
    const element = document.createElement('button');
    element.type = 'button';
    element.textContent = text;
    element.setAttribute('aria-label', label);
    element.addEventListener('click', action);
    return element;
  }

  function choice(options, chosen, label, change) {
    const select = document.createElement('select');
    select.setAttribute('aria-label', label);
    options.forEach((text, i) => select.add(new Option(text, i, false, i === chosen)));
    select.addEventListener('change', () => change(Number(select.value)));
    return select;
  }

  function changed(focus) {
    refresh();
    if (focus) section.querySelector(focus)?.focus();
  }

  // Where a field stands now: its route and its place in it.
  function placeOf(field) {
    const r = routes.findIndex((route) => route.stops.some(([f]) => f === field));
    return [r, routes[r].stops.findIndex(([f]) => f === field)];
  }

  function move(field, to, place) {
    const [r, i] = placeOf(field);
    if (to === r && (place < 0 || place >= routes[r].stops.length)) return;
    const [stop] = routes[r].stops.splice(i, 1);
    routes[to].stops.splice(place, 0, stop);
  }

  function step(field, by) {
    const [r, i] = placeOf(field);
    move(field, r, i + by);
  }

  // The row of one field, made once; showLists says where it stands.
  function makeRow(field) {
    const name = season.fields[field];
    const item = document.createElement('li');
    item.dataset.field = field;
    const grip = document.createElement('span');
    grip.className = 'grip';
    grip.textContent = '⠿';
    grip.setAttribute('aria-hidden', 'true');
    grip.addEventListener('pointerdown', (event) => drag(event, field));
    const label = document.createElement('bdi');
    label.textContent = name;
    const levels = season.cleanouts.map((level, at) => (at === 0 ? 'no cleanout' : level.name));
    item.append(grip, document.createElement('b'), label, choice(levels, 0, `Cleanout before ${name}`, (level) => {
      const [r, i] = placeOf(field);
      routes[r].stops[i][1] = level;
      changed(`[data-field="${field}"] select`);
    }));
    if (routes.length > 1)
      item.append(choice(routes.map((route) => season.machines[route.machine].name), 0, `Machine that cuts ${name}`, (to) => {
        move(field, to, Math.min(placeOf(field)[1], routes[to].stops.length));
        changed(`[data-field="${field}"] select:nth-of-type(2)`);
      }));
    const buttons = document.createElement('span');
    buttons.append(
      button('▲', `Move ${name} earlier`, () => {
        step(field, -1);
        changed(`[data-field="${field}"] button`);
      }),
      button('▼', `Move ${name} later`, () => {
        step(field, 1);
        changed(`[data-field="${field}"] button:last-child`);
      }));
    item.append(buttons);
    return item;
  }

  function row(r, i) {
    const [field, cleanout] = routes[r].stops[i];
    if (!rows.has(field)) rows.set(field, makeRow(field));
    const item = rows.get(field);
    const [level, machine] = item.querySelectorAll('select');
    const number = item.querySelector('b');
    const told = letter(r) + (i + 1);
    if (number.textContent !== told) number.textContent = told;
    level.value = cleanout;
    if (machine) machine.value = r;
    return item;
  }

  // Machines have letters where there are several, as everywhere on the page.
  const letter = (r) => (routes.length > 1 && r < 26 ? String.fromCharCode(65 + r) : '');

  function makeList(route, r) {
    const list = document.createElement('ol');
    list.className = 'hand';
    list.dataset.route = r;
    return list;
  }

  // A list under its machine's name, where there are several.
  function withHeading(list, r) {
    const block = document.createElement('div');
    if (routes.length > 1) {
      const heading = document.createElement('h3');
      const name = document.createElement('bdi');
      name.textContent = season.machines[routes[r].machine].name;
      heading.append(letter(r) && `${letter(r)}, `, name, ' ', document.createElement('small'));
      block.append(heading);
    }
    block.append(list);
    return block;
  }

  // Only rows that stand elsewhere now are moved: to lay out all of them anew takes longer than to price.
  function showLists() {
    lists ??= routes.map(makeList);
    routes.forEach((route, r) => {
      lists[r].setAttribute('aria-label', season.machines[route.machine].name);
      route.stops.forEach((_, i) => {
        const item = row(r, i);
        if (lists[r].children[i] !== item) lists[r].insertBefore(item, lists[r].children[i] ?? null);
      });
    });
    const holder = document.getElementById('hand-lists');
    if (holder.children.length === 0) holder.append(...lists.map(withHeading));
    holder.querySelectorAll('h3 small').forEach((small, r) => {
      const n = routes[r].stops.length;
      small.textContent = n === 1 ? '1 field' : `${n} fields`;
    });
  }

  const EDGE = 60; // pixels from where the page scrolls

  // The stop follows the pointer from place to place; price, ribbon and map follow in each, the rest when
  // it is let go. At most once for every picture that the screen shows.
  function drag(event, field) {
    event.preventDefault();
    const item = rows.get(field);
    let { clientX: x, clientY: y } = event;
    let moved = false;
    let frame = 0;
    section.classList.add('dragging');
    item.classList.add('held');
    const place = () => {
      const target = document.elementFromPoint(x, y)?.closest('#hand-lists li');
      if (!target || target === item) return;
      const list = target.parentElement;
      const now = inView(['totals', 'ribbon', 'map']);
      move(field, Number(list.dataset.route), [...list.children].indexOf(target));
      redraw(now);
    };
    const follow = () => {
      frame = requestAnimationFrame(follow);
      const before = scrollY;
      if (y < EDGE) scrollBy({ top: -EDGE / 5, behavior: 'instant' });
      if (y > innerHeight - EDGE) scrollBy({ top: EDGE / 5, behavior: 'instant' });
      if (moved || scrollY !== before) place();
      moved = false;
    };
    const over = (at) => {
      ({ clientX: x, clientY: y } = at);
      moved = true;
    };
    const end = () => {
      cancelAnimationFrame(frame);
      if (moved) place();
      section.classList.remove('dragging');
      item.classList.remove('held');
      removeEventListener('pointermove', over);
      removeEventListener('pointerup', end);
      removeEventListener('pointercancel', end);
      refresh();
    };
    follow();
    addEventListener('pointermove', over);
    addEventListener('pointerup', end);
    addEventListener('pointercancel', end);
  }

  // ---- plan.json ----

  // A plan as seedbreak reads it: what it comes to, and for the rest of a season what was spent before.
  function planJson() {
    const { total, travel, cleanout, spread, delay } = shown;
    const machines = routes.map((route) => ({
      id: season.machines[route.machine].id,
      stops: route.stops.map(([field, cleanout]) => ({ field: season.fields[field], cleanout: season.cleanouts[cleanout].id })),
      final_cleanout: route.final < 0 ? null : season.cleanouts[route.final].id,
    }));
    const said = { currency: season.currency, cost: { total, travel, cleanout, spread, delay } };
    if (season.so_far) said.so_far = season.so_far;
    return JSON.stringify({ format: 'seedbreak-plan', version: 1, ...said, machines }, null, 2) + '\n';
  }

  function save() {
    const link = document.createElement('a');
    link.href = URL.createObjectURL(new Blob([planJson()], { type: 'application/json' }));
    link.download = 'plan.json';
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  }

  // ---- Begin ----

  // Takes another plan for the one on the page.
  function take(plan) {
    routes = structuredClone(plan);
    return refresh();
  }

  async function start() {
    if (!section || typeof WebAssembly !== 'object') return false;
    const [code, seasonBytes, names] = await Promise.all(['model', 'season-data', 'plan-data'].map((id) => inflate(data(id))));
    const { instance } = await WebAssembly.instantiate(code, { env: host });
    season = JSON.parse(new TextDecoder().decode(names));
    model = instance.exports;
    const at = model.room(seasonBytes.length);
    new Uint8Array(model.memory.buffer).set(seasonBytes, at);
    if (model.open_season(at, seasonBytes.length) !== 0) return false;
    routes = structuredClone(season.routes);
    first = evaluate(routes);
    await seasonPage.ready;
    const banded = document.querySelector('#load .band') ? ['load'] : [];
    for (const id of ['totals', 'stops', ...banded]) written[id] = document.getElementById(`part-${id}`).innerHTML;
    showResult(first);
    showLists();
    document.getElementById('hand-back').addEventListener('click', () => take(season.routes));
    document.getElementById('hand-save').addEventListener('click', save);
    section.hidden = false;
    document.getElementById('to-by-hand').hidden = false;
    return true;
  }

  // Without WebAssembly, or with it forbidden, the page is as it was written.
  const ready = start().catch(() => false);
  // When everything shows the plan as it is now.
  const drawn = () => new Promise((done) => {
    const look = () => (later === 0 ? done() : setTimeout(look, 5));
    look();
  });

  const takeFromCurve = (i) => take(season.curve[i]);

  return { ready, evaluate, take, takeFromCurve, drawn, plan: () => structuredClone(routes) };
})();
