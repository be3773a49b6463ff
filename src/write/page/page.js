// SPDX-License-Identifier: GPL-3.0-or-later
// Links the pictures: what is pointed at anywhere lights up everywhere. Every element that shows a
// stop carries its key in data-s, or links to its card; everything said about a stop is read from its card. Names reach
// the page only as text.
'use strict';

// Five letters hold four bytes, the highest digit first.
function bytesOf(text) {
  const letters = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz!#$%,()*+-;.=>?@^_`{|}~';
  const digits = new Uint8Array(128);
  for (let i = 0; i < 85; i++) digits[letters.charCodeAt(i)] = i;
  const bytes = new Uint8Array(Math.floor((text.length * 4) / 5));
  for (let i = 0, at = 0; i < text.length; i += 5, at += 4) {
    let four = 0;
    for (let k = 0; k < 5; k++) four = four * 85 + (i + k < text.length ? digits[text.charCodeAt(i + k)] : 84);
    for (let k = 0; k < 4 && at + k < bytes.length; k++) bytes[at + k] = four >>> (24 - 8 * k);
  }
  return bytes;
}

// What sb_add_deflated wrote, as bytes.
async function inflate(text) {
  const stream = new Blob([bytesOf(text)]).stream().pipeThrough(new DecompressionStream('deflate-raw'));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

const seasonPage = (() => {
  const tell = document.getElementById('tell');
  let lit = [];
  let pinned = null;

  const card = (key) => document.getElementById('s' + key);
  const showing = (key) => document.querySelectorAll(`#s${key}, [data-s~="${key}"], [data-o="${key}"], a[href="#s${key}"]:not([data-s])`);

  function mark(key, className) {
    for (const element of showing(key)) {
      element.classList.add(className);
      lit.push([element, className]);
    }
  }

  function clear() {
    for (const [element, className] of lit) element.classList.remove(className);
    lit = [];
    for (const cross of document.querySelectorAll('.cross')) cross.remove();
  }

  const keysOf = (text) => (text ? text.split(' ') : []);

  // Lights up stops, the fields they give seeds to and those they get them from.
  function light(keys) {
    clear();
    for (const key of keys) {
      const about = card(key);
      if (about) {
        for (const other of keysOf(about.dataset.gets)) mark(other, 'giver');
        for (const other of keysOf(about.dataset.gives)) mark(other, 'receiver');
      }
    }
    for (const key of keys) mark(key, 'lit');
  }

  const nameOf = (key) => card(key)?.querySelector('h4').textContent ?? '';
  const numberOf = (key) => card(key)?.querySelector('.title b')?.textContent ?? '';

  function line(...texts) {
    const paragraph = document.createElement('p');
    texts.forEach((text, i) => {
      const part = document.createElement(i === 0 ? 'b' : 'span');
      part.append(i === 0 ? text : ' ' + text);
      paragraph.append(part);
    });
    return paragraph;
  }

  const list = (keys) => keys.map((key) => `${numberOf(key)} ${nameOf(key)}`).join(', ');

  function describe(key) {
    const about = card(key);
    const lines = [line(`${numberOf(key)} ${nameOf(key)}`.trim())];
    const job = about.querySelector('.job h5');
    const times = [...about.querySelectorAll('.grid div')].slice(0, 4)
      .map((fact) => `${fact.children[0].textContent} ${fact.children[1].textContent}`);
    lines.push(line('', times.join(' · ')));
    if (job) lines.push(line('◆', job.textContent));
    if (about.dataset.gets !== undefined) {
      lines.push(line('', about.querySelector('.gets').textContent));
      const receivers = keysOf(about.dataset.gives);
      if (receivers.length > 0) lines.push(line('Gives seeds to', list(receivers) + '.'));
    }
    return lines;
  }

  function say(lines, pin) {
    tell.replaceChildren(...lines);
    tell.classList.toggle('pinned', pin);
    if (pin) {
      const close = document.createElement('button');
      close.type = 'button';
      close.textContent = 'Close';
      close.addEventListener('click', release);
      tell.append(close);
    }
    tell.hidden = false;
  }

  function show(keys, pin) {
    const known = keys.filter(card);
    if (known.length === 0) return;
    light(known);
    say(known.length === 1 ? describe(known[0]) : [line('Stops', list(known))], pin);
    if (pin) {
      const open = document.createElement('a');
      open.href = '#s' + known[0];
      open.textContent = 'Open the card of this stop';
      open.addEventListener('click', release);
      tell.append(' ', open);
    }
  }

  function release() {
    pinned = null;
    clear();
    tell.hidden = true;
  }

  // Back to what was pinned, or to nothing.
  function leave() {
    if (pinned) show(pinned, true);
    else release();
  }

  // ---- Who gives what to whom: the cell under the pointer ----

  function seedsInWords(seeds) {
    const units = ['', 'k', 'M', 'G', 'T'];
    let unit = 0;
    while (seeds >= 999.5 && unit < 4) {
      seeds /= 1000;
      unit++;
    }
    return Number(seeds.toPrecision(3)) + units[unit];
  }

  function seedsAt(grid, row, column) {
    for (const entry of grid.dataset.seeds.split(';')) {
      const [r, c, seeds] = entry.split(',').map(Number);
      if (r === row && c === column) return seeds;
    }
    return 0;
  }

  function cross(grid, x, y, width, height) {
    const box = document.createElementNS(grid.namespaceURI, 'rect');
    for (const [name, value] of Object.entries({ class: 'cross', x, y, width, height }))
      box.setAttribute(name, value);
    grid.append(box);
  }

  function overGrid(grid, event) {
    const [left, top, width, height] = grid.dataset.box.split(' ').map(Number);
    const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(grid.getScreenCTM().inverse());
    const column = Math.floor((at.x - left) / width);
    const row = Math.floor((at.y - top) / height);
    const from = grid.dataset.rows.split(' ')[row];
    const to = document.querySelectorAll('article[data-gets]')[column]?.id.slice(1);
    if (from === undefined || to === undefined) return;
    clear();
    if (from !== 'start') mark(from, 'lit');
    mark(to, 'receiver');
    cross(grid, left + column * width, top + row * height, width, height);
    const seeds = seedsAt(grid, row, column);
    const giver = from === 'start' ? 'The machine as it came' : `${numberOf(from)} ${nameOf(from)}`;
    const weed = grid.closest('figure').querySelector('figcaption span').textContent;
    say([line(giver, seeds > 0 ? `gives ${seedsInWords(seeds)} seeds of ${weed} to` : `gives fewer than 1 seed of ${weed} to`,
      `${numberOf(to)} ${nameOf(to)}.`)], false);
  }

  // ---- Pointer, touch and keyboard ----

  // The keys that the thing pointed at shows, in a picture or a list beside one.
  function keysAt(target) {
    if (!(target instanceof Element) || !target.closest('svg, .tall, .places')) return [];
    const element = target.closest('[data-s], a[href^="#s"]');
    if (!element) return [];
    return element.dataset.s ? keysOf(element.dataset.s) : [element.getAttribute('href').slice(2)];
  }

  document.addEventListener('pointermove', (event) => {
    const grid = event.target instanceof Element ? event.target.closest('.grid[data-box]') : null;
    if (grid) overGrid(grid, event);
  });
  document.addEventListener('pointerover', (event) => {
    const keys = keysAt(event.target);
    if (keys.length > 0) show(keys, false);
  });
  document.addEventListener('pointerout', (event) => {
    if (keysAt(event.target).length > 0 || event.target.closest?.('.grid[data-box]')) leave();
  });
  document.addEventListener('focusin', (event) => {
    const keys = keysAt(event.target);
    if (keys.length > 0) show(keys, false);
    else if (!tell.contains(event.target)) leave();
  });
  // A pointer pins what it points at; the Enter key follows the link to the stop's card.
  document.addEventListener('click', (event) => {
    const keys = keysAt(event.target);
    if (keys.length === 0 || event.detail === 0 || !event.target.closest('svg') || event.target.closest('.tall')) return;
    event.preventDefault();
    pinned = keys;
    show(keys, true);
  });
  document.addEventListener('keydown', (event) => {
    if (event.key === 'Escape') release();
  });

  // ---- Which weed ----

  function chooseWeed(value, position) {
    for (const figure of document.querySelectorAll('.weed'))
      figure.hidden = value !== 'all' && figure.dataset.w !== value;
    for (const field of document.querySelectorAll('.field')) {
      const shape = field.querySelector('path, circle');
      const texture = shape.getAttribute('fill').replace(/\d+/, field.dataset.r.split(' ')[position]);
      if (shape.getAttribute('fill') !== texture) shape.setAttribute('fill', texture);
    }
  }

  const radios = [...document.querySelectorAll('#choice input')];
  const showChosen = () => radios.forEach((radio, i) => radio.checked && chooseWeed(radio.value, i));
  if (radios.length > 0) document.getElementById('choice').hidden = false;
  for (const radio of radios) radio.addEventListener('change', showChosen);

  // ---- The crew's day ----

  // What each machine has begun last by today: the last card of its last day that has come. Nothing
  // before its season and after its last day.
  function showToday() {
    const now = new Date();
    const today = Math.floor(Date.UTC(now.getFullYear(), now.getMonth(), now.getDate()) / 864e5);
    const current = new Map();
    const last = new Map();
    for (const day of document.querySelectorAll('.day[data-day]')) {
      const machine = day.querySelector('article').id.split('-')[0];
      day.classList.remove('now');
      last.set(machine, Number(day.dataset.day));
      // On the evening before its first cut a machine has no sheet of that day yet.
      const begins = current.has(machine) ? day.dataset.day : day.dataset.begins;
      if (Number(begins) <= today) current.set(machine, day);
    }
    const line = document.getElementById('today');
    line.replaceChildren('Today: ');
    for (const [machine, day] of current) {
      if (today > last.get(machine)) continue;
      day.classList.add('now');
      const link = document.createElement('a');
      const key = [...day.querySelectorAll('article')].pop().id.slice(1);
      link.href = '#s' + key;
      link.textContent = `${numberOf(key)} ${nameOf(key)}`.trim();
      if (line.children.length > 0) line.append(', ');
      line.append(link);
    }
    line.hidden = line.children.length === 0;
  }

  // On a phone a job's cautions and steps are folded away until the crew opens them; paper has all.
  function foldJobs() {
    if (window.innerWidth <= 720) for (const job of document.querySelectorAll('.how')) job.open = false;
  }

  let folded = [];
  window.addEventListener('beforeprint', () => {
    folded = [...document.querySelectorAll('.how:not([open])')];
    for (const job of folded) job.open = true;
  });
  window.addEventListener('afterprint', () => { for (const job of folded) job.open = false; });
  showToday();
  foldJobs();

  // ---- Paper ----

  // A ribbon longer than a sheet is wide stands on paper in pieces, each with the axis again. Units as
  // in svg_ribbon.c: a piece is as wide as a ribbon that is not too long.
  const PIECE = { width: 1180, axis: 104, end: 84, top: 105, date: 72 };

  function cover(picture, x, width, height) {
    const rect = document.createElementNS(picture.namespaceURI, 'rect');
    for (const [key, value] of Object.entries({ class: 'cover', x, y: PIECE.top, width, height })) rect.setAttribute(key, value);
    return rect;
  }

  function pieceOf(ribbon, from, to, stops) {
    const piece = ribbon.cloneNode(true);
    const { height } = ribbon.viewBox.baseVal;
    const shift = from - PIECE.axis;
    piece.classList.replace('long', 'piece');
    piece.removeAttribute('aria-labelledby');
    piece.setAttribute('viewBox', `${shift} 0 ${PIECE.width} ${height}`);
    for (const gone of piece.querySelectorAll(':scope > title, :scope > desc')) gone.remove();
    [...piece.querySelectorAll(':scope > a')].forEach((link, i) => { if (!stops.includes(i)) link.remove(); });
    const axis = [...piece.querySelectorAll(':scope > .lane, :scope > .end')];
    for (const date of piece.querySelectorAll(':scope > .tiny:not(.end)')) if (to - date.getAttribute('x') < PIECE.date) date.remove();
    // A sheet may show more to both sides than the piece.
    piece.append(cover(piece, shift - PIECE.width, PIECE.width + PIECE.axis, height), cover(piece, to, 2 * PIECE.width, height), ...axis);
    for (const text of axis) text.setAttribute('transform', `translate(${shift})`);
    return piece;
  }

  function cutRibbon(ribbon) {
    const edges = [...ribbon.querySelectorAll(':scope > a')].map((link) => {
      const half = -parseFloat(link.querySelector('.column').getAttribute('d').slice(1));
      return link.transform.baseVal[0].matrix.e + half; // where the stop ends
    });
    const pieces = [];
    let stops = [];
    let from = PIECE.axis;
    edges.forEach((edge, i) => {
      if (stops.length > 0 && edge - from > PIECE.width - PIECE.axis - PIECE.end) {
        pieces.push(pieceOf(ribbon, from, edges[i - 1], stops));
        from = edges[i - 1];
        stops = [];
      }
      stops.push(i);
    });
    pieces.push(pieceOf(ribbon, from, ribbon.viewBox.baseVal.width - PIECE.end, stops));
    ribbon.after(...pieces);
  }

  window.addEventListener('beforeprint', () => document.querySelectorAll('.ribbon.long').forEach(cutRibbon));
  window.addEventListener('afterprint', () => { for (const piece of document.querySelectorAll('.ribbon.piece')) piece.remove(); });

  document.getElementById('actions').hidden = false;
  document.getElementById('print-all').addEventListener('click', () => window.print());
  document.getElementById('print-crew').addEventListener('click', () => {
    document.documentElement.classList.add('crew-only');
    window.print();
    document.documentElement.classList.remove('crew-only');
  });

  // ---- Pictures that travel packed ----

  async function unpack(part) {
    const html = new TextDecoder().decode(await inflate(part.dataset.packed));
    if (part.dataset.packed) part.innerHTML = html; // unless it was drawn anew meanwhile
    delete part.dataset.packed;
  }

  const ready = Promise.all([...document.querySelectorAll('[data-packed]')].map(unpack)).then(showChosen);

  // A part was drawn anew: nothing in it is lit any more, and the weed chosen must be chosen again.
  return { ready, redrawn() { release(); showChosen(); showToday(); foldJobs(); } };
})();
