/* The bench of a door: shows what was solved beforehand. It looks numbers up and computes no circuit. */
(() => {
  "use strict";
  const section = document.getElementById("bench");
  const table = section && (window.riserkitBench || {})[section.dataset.topology];
  if (!table) return;
  if (table.failed) {
    const words = document.createElement("p");
    words.textContent = `This door cannot be put on the bench: ${table.failed}.`;
    section.append(words);
    return;
  }

  performance.mark("bench begins");
  const VOLT = 1e-4, AMPERE = 1e-4, SHARE = 1e-5, OPEN = 9999, UNSOLVED = 9998;
  const OFF = 0, LOCKS = 1, CARD = 2, REQUEST = 3, NOT_TAKEN = 4;
  const SVG = "http://www.w3.org/2000/svg";
  const POWER = ["no power on the PoE cable", "mains lost", "battery lost"];
  const HAND = ["door open", "manual release pressed", "fire alarm", "auxiliary contact active"];
  const state = { on: new Set(), fault: 0, meter: "volts", red: -1, black: -1, next: "red", lesson: null };
  let live = null, ohms = null;

  /* --- small things for making elements; text is always text --- */
  const make = (tag, attributes = {}, ...children) => {
    const made = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes)) {
      if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
      else if (value !== false && value !== null) made.setAttribute(name, value === true ? "" : value);
    }
    made.append(...children.filter((child) => child !== null));
    return made;
  };
  const draw = (tag, attributes = {}, text = "") => {
    const made = document.createElementNS(SVG, tag);
    for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
    if (text) made.textContent = text;
    return made;
  };
  const fill = (element, ...children) => element.replaceChildren(...children);

  /* --- tables --- */
  async function unpack(packed) {
    const bytes = Uint8Array.from(atob(packed.data), (c) => c.charCodeAt(0));
    const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
    const planes = new Uint8Array(await new Response(stream).arrayBuffer());
    const found = {};
    let start = 0;
    for (const [name, rows, columns, size] of packed.parts) {
      const count = rows * columns, values = new Int32Array(count), up = 32 - 8 * size;
      for (let column = 0; column < columns; column++) {
        let last = 0;
        for (let row = 0; row < rows; row++) {
          const k = column * rows + row;
          let difference = 0;
          for (let plane = 0; plane < size; plane++) difference |= planes[start + plane * count + k] << (8 * plane);
          last = ((last + difference) << up) >> up;
          values[k] = last;
        }
      }
      found[name] = { rows, columns, at: (row, column) => values[column * rows + row] };
      start += count * size;
    }
    return found;
  }

  const keyOf = (places) => [...places].sort((a, b) => a - b).join(" ");
  const combinationOf = new Map(table.combinations.map((on, n) => [keyOf(on), n]));
  const deadOf = new Map(table.dead.map((on, n) => [keyOf(on), n]));
  const credential = table.switches.findIndex((one) => one[2] === "");
  const places = (test) => table.switches.flatMap((one, n) => (test(one[2]) ? [n] : []));
  const powers = places((role) => POWER.includes(role));
  const isDead = (on) => powers.length > 0 && powers.every((n) => on.has(n));

  /* The row of a case, or -1 where the combination is not in the tables. */
  function rowOf(fault, on) {
    const combination = combinationOf.get(keyOf([...on].filter((n) => n !== credential)));
    if (combination === undefined) return -1;
    return live.row.at((fault * table.combinations.length + combination) * 2 + (on.has(credential) ? 1 : 0), 0);
  }
  const fact = (row, n) => live.state.at(row, n);
  const decides = (row) => fact(row, 0), online = (row) => fact(row, 1), trouble = (row) => fact(row, 2);
  const pairs = (name) => new Map(Array.from({ length: live[name].rows }, (_, n) => {
    const [k, a, b, value] = [0, 1, 2, 3].map((column) => live[name].at(n, column));
    return [`${k} ${a} ${b}`, value];
  }));

  /* Volts between two terminals, by place: null where nothing is steady, undefined where it is not in the tables. */
  function volts(fault, on, red, black) {
    const row = rowOf(fault, on);
    if (row < 0) return undefined;
    if (trouble(row)) return null;
    const across = (live.v.at(row, red) - live.v.at(row, black)) * VOLT, pattern = fact(row, 4), drift = fact(row, 5);
    const a = live.part.at(pattern, red), b = live.part.at(pattern, black);
    if (live.island.at(pattern, red) === live.island.at(pattern, black)) {
      const share = live.shares.get(`${pattern} ${Math.min(a, b)} ${Math.max(a, b)}`);
      return across * (share === undefined ? 1 : share * SHARE);
    }
    const most = (x, y) => {
      const room = live.drifts.get(`${drift} ${x} ${y}`);
      return room === undefined ? Infinity : room * VOLT;
    };
    return across + Math.min(Math.max(-across, -most(b, a)), most(a, b));
  }

  /* What an ohmmeter shows, as it is coded; undefined where it is not in the tables. */
  function ohmsCode(fault, on, red, black) {
    if (!ohms) return undefined;
    const hand = places((role) => HAND.includes(role)).filter((n) => on.has(n));
    const dead = deadOf.get(keyOf([...powers, ...hand]));
    if (dead === undefined) return undefined;
    const [a, b] = red < black ? [red, black] : [black, red], n = table.terminals.length;
    const pair = a * n - (a * (a + 1)) / 2 + b - a - 1;
    const code = ohms.code.at(ohms.row.at(fault * table.dead.length + dead, 0), pair);
    return code === UNSOLVED ? undefined : code;
  }
  function ohmsOf(fault, on, red, black) {
    const code = ohmsCode(fault, on, red, black);
    return code === undefined ? undefined : code === OPEN ? Infinity : (code % 1000) * 10 ** (Math.floor(code / 1000) - 1);
  }
  function ohmsText(fault, on, red, black) {
    if (red === black) return ohms ? "0.0 Ω" : undefined;
    const code = ohmsCode(fault, on, red, black);
    if (code === undefined) return undefined;
    if (code === OPEN) return "open";
    const range = Math.floor(code / 1000), digits = code % 1000;
    if (range < 2) return range ? `${digits} Ω` : `${(digits / 10).toFixed(1)} Ω`;
    const kohm = digits * 10 ** (range - 4);
    return `${range === 2 ? kohm.toFixed(2) : range === 3 ? kohm.toFixed(1) : kohm.toFixed(0)} kΩ`;
  }
  const voltsText = (value) => (value === null ? "unsteady" : `${(Math.round(value * 100) / 100 + 0).toFixed(2)} V`);
  const amperes = (a) => (Math.abs(a) >= 3200 ? "over 3.2 kA" : Math.abs(a) < 0.0995 ? `${(Math.abs(a) * 1000).toFixed(1)} mA` : `${Math.abs(a).toFixed(2)} A`);

  /* The reading with the leads where they are: words, and whether it is one. */
  function reading(fault, on, meter, red, black) {
    if (red < 0 || black < 0) return ["Put both probes on terminals.", false];
    if (meter === "volts") {
      const value = volts(fault, on, red, black);
      if (value === undefined) return ["Not in the tables: too many switches at once. Put one back.", false];
      return [voltsText(value), true];
    }
    if (!isDead(on)) return ["Ohms only with power off. Switch off network power, mains and battery.", false];
    const text = ohmsText(fault, on, red, black);
    if (text === undefined) return ["Not in the tables: ohms are solved with one of door, release and alarm moved at a time.", false];
    return [text, true];
  }

  /* --- the state of the door in words --- */
  const PULLED_IN = 1, DROPPED_OUT = 0, STAYS = 2;
  function lockWords(row) {
    return table.locks.map(([ref, pullIn, dropOut], n) => {
      const v = Math.abs(live.lock.at(row, n) * VOLT), shown = `${ref}: ${v.toFixed(2)} V across its coil`, is = live.energised.at(row, n);
      if (is === PULLED_IN) return { ref, is: table.failSafe ? "locked" : "released", why: `${shown}, energised${pullIn === null ? "" : ` (from ${pullIn.toFixed(1)} V)`}` };
      if (is === DROPPED_OUT) return { ref, is: table.failSafe ? "released" : "locked", why: `${shown}, not energised` };
      if (is !== STAYS) return { ref, is: "unknown", why: `${shown}; the part does not state at which voltage it moves` };
      return { ref, is: "as before", why: `${shown}: too little to pull in${pullIn === null ? "" : ` (${pullIn.toFixed(1)} V)`}, enough to stay${dropOut === null ? "" : ` (${dropOut.toFixed(1)} V)`}` };
    });
  }
  const DECISIONS = {
    [OFF]: "Controller has no power: it commands nothing and reads no input.",
    [LOCKS]: "Controller locks: no card, no request to exit.",
    [CARD]: "Controller releases: card accepted.",
    [REQUEST]: "Controller releases: request to exit at its input.",
    [NOT_TAKEN]: "Controller locks: card not read, the reader has no supply or no data.",
  };
  function whyLines(row) {
    const lines = table.commanded ? [DECISIONS[decides(row)]] : [];
    table.relayEnds.forEach(([moved, atRest], n) => lines.push(`${live.relays.at(row, n) ? moved : atRest}.`));
    const over = fact(row, 3);
    if (over >= 0 && !state.lesson) {
      const [ref, title, limit] = table.sources[over];
      lines.push(`${ref} ${title} at its limit of ${limit} A: a real one may fold back or switch off. Find the overload first.`);
    }
    return lines;
  }
  function inputLines(row) {
    const lines = [];
    const off = decides(row) === OFF && table.commanded;
    table.inputs.forEach((input, n) => {
      if (!input) return;
      const [terminal, idle] = input, closed = live.closed.at(row, n) === 1, usual = closed === idle;
      const means = n === 0 ? ["door closed", "door open"] : table.auxiliary ? ["contact at rest", "contact active"] : ["no request", "request to exit"];
      lines.push(off ? `${terminal}: not read, controller off` : `${terminal}: ${closed ? "closed" : "open"}, read as ${means[usual ? 0 : 1]}`);
    });
    table.readers.forEach((ref, n) => lines.push(`Reader ${ref}: ${live.readers.at(row, n) ? "lit" : "dark, or without data"}`));
    if (table.commanded) lines.push(off ? "Controller: off, offline" : `Controller: ${online(row) ? "online" : "offline"}`);
    return lines;
  }

  window.riserkitBenchReading = (fault, on, meter, red, black) =>
    reading(fault, new Set(on), meter, table.terminals.indexOf(red), table.terminals.indexOf(black))[0];

  /* --- the page --- */
  const ui = {};
  const option = (value, text) => make("option", { value }, text);
  function terminalSelect(which) {
    const select = make("select", { id: `bench-${which}`, onchange: (event) => { state[which] = Number(event.target.value); show(true); } }, option(-1, "not placed"));
    for (const [ref, title] of table.devices) {
      const group = make("optgroup", { label: `${ref} ${title}` });
      table.terminals.forEach((name, n) => { if (name.split(".")[0] === ref) group.append(option(n, name)); });
      if (group.children.length) select.append(group);
    }
    return select;
  }
  const labelled = (text, control) => make("p", { class: "bench-field" }, make("label", { for: control.id }, text), control);

  function whereSelect() {
    const select = make("select", { id: "bench-where", onchange: () => listFaults(true) }, option("", "anywhere"));
    const devices = make("optgroup", { label: "Devices" }), wires = make("optgroup", { label: "Wires" });
    for (const [ref, title] of table.devices) devices.append(option(`d ${ref}`, `${ref} ${title}`));
    for (const [ref, a, b, colour, cable] of table.wires) wires.append(option(`w ${ref}`, `${[cable, colour].filter(Boolean).join(" ")} ${a} to ${b}`.trim()));
    select.append(devices, wires);
    return select;
  }
  const blamed = (fault, where) => !where || table.faults[fault][2].some((name) => where[0] === "w" ? name === where.slice(2) : name.split(".")[0] === where.slice(2) && !isWire(name));
  const wireNames = new Set(table.wires.map((one) => one[0]));
  const isWire = (name) => wireNames.has(name);

  function listFaults(reset) {
    const where = ui.where.value, groups = new Map();
    table.faults.forEach(([kind, words], n) => {
      if (n === 0 || !blamed(n, where)) return;
      if (!groups.has(kind)) groups.set(kind, make("optgroup", { label: kind }));
      groups.get(kind).append(option(n, words));
    });
    fill(ui.fault, option(0, state.lesson ? "choose your answer" : "no fault"), ...groups.values());
    if (reset) { if (!state.lesson) state.fault = 0; }
    else ui.fault.value = String(state.lesson ? 0 : state.fault);
    show(false);
  }

  function build() {
    ui.switches = make("div", { class: "bench-switches", role: "group", "aria-label": "Switches" });
    table.switches.forEach(([, words], n) => {
      ui.switches.append(make("button", { type: "button", "aria-pressed": "false", onclick: () => { state.on.has(n) ? state.on.delete(n) : state.on.add(n); show(true); } }, words));
    });
    ui.power = make("button", { type: "button", onclick: () => { const off = isDead(state.on); powers.forEach((n) => (off ? state.on.delete(n) : state.on.add(n))); show(true); } }, "All power off");
    ui.lock = make("p", { class: "bench-lock", role: "status" });
    ui.why = make("ul", { class: "bench-why" });
    ui.inputs = make("ul");
    ui.where = whereSelect();
    ui.fault = make("select", { id: "bench-fault", onchange: (event) => { if (!state.lesson) state.fault = Number(event.target.value); show(false); } });
    ui.faultNote = make("p", { class: "bench-note" });
    ui.red = terminalSelect("red");
    ui.black = terminalSelect("black");
    ui.volts = make("button", { type: "button", onclick: () => { state.meter = "volts"; show(true); } }, "V DC");
    ui.ohms = make("button", { type: "button", onclick: () => { state.meter = "ohms"; readOhms(); show(true); } }, "Ω");
    ui.swap = make("button", { type: "button", onclick: () => { [state.red, state.black] = [state.black, state.red]; show(true); } }, "Exchange leads");
    ui.reading = make("output", { class: "bench-reading", "aria-live": "polite" });
    ui.currents = make("tbody");
    ui.lesson = make("div", { class: "bench-lesson" });
    ui.finder = finder();
    ui.faultBox = make("section", {}, make("h3", {}, "Fault"), labelled("At", ui.where), labelled("Fault", ui.fault), ui.faultNote);
    const panel = make("div", { class: "bench-panel" },
      make("section", {}, make("h3", {}, "Switches"), ui.switches, ui.power),
      make("section", { class: "bench-state" }, make("h3", {}, "Lock"), ui.lock, ui.why, make("h3", {}, "As the controller reads it"), ui.inputs),
      make("section", { class: "bench-meter" }, make("h3", {}, "Meter"), make("div", { class: "bench-switches", role: "group", "aria-label": "Range" }, ui.volts, ui.ohms, ui.swap),
        labelled("Red lead", ui.red), labelled("Black lead", ui.black), ui.reading),
      ui.faultBox, ui.finder, ui.lesson);
    ui.picture = picture();
    section.append(
      make("p", { class: "bench-note" }, "Numbers are solved for this door's wires, parts at their stated values, conductors at 20 °C, relays and locks at rest to begin with. Meter of 10 MΩ. One fault at a time."),
      make("p", { class: "bench-caution" }, "On a real door: work on mains is for those licensed for it, and is not asked for here. Ohms only with power and batteries off. While a door is tested, see that people can get out."),
      make("div", { class: "bench-grid" }, make("div", { class: "bench-picture", tabindex: "0", role: "region", "aria-label": "Wiring, to be scrolled" }, ui.picture), panel),
      make("details", {}, make("summary", {}, "Currents"), make("div", { class: "bench-scroll", tabindex: "0", role: "region", "aria-label": "Currents" },
        make("table", {}, make("thead", {}, make("tr", {}, ...["Wire", "From", "To", "Current"].map((t) => make("th", { scope: "col" }, t)))), ui.currents))));
    lessonStart();
    listFaults(true);
    show(false);
    readOhms();
  }

  function finder() {
    if (!window.riserkitFinder) return null;
    const lockIs = (fault, on) => {
      const row = rowOf(fault, on);
      if (row < 0 || trouble(row)) return null;
      const words = new Set(lockWords(row).map((one) => one.is));
      const [only] = words;
      return words.size === 1 && (only === "locked" || only === "released") ? only : null;
    };
    const atLimit = (fault, on) => { const row = rowOf(fault, on); return row >= 0 && fact(row, 3) >= 0; };
    const { mark } = JSON.parse(document.getElementById("bench-door").textContent);
    return window.riserkitFinder({ table, state, make, fill, volts, ohmsOf, lockIs, atLimit, labelled, switchWords, isDead, powers, mark, goTo });
  }

  /* --- the wiring --- */
  const wirePaths = new Map(), terminalMarks = new Map();
  const path = (points) => points.map(([x, y], n) => `${n ? "L" : "M"}${x} ${y}`).join("");
  const text = ([words, x, y, height, align], className) => draw("text", { x, y, "font-size": height * 1.1, "text-anchor": { left: "start", center: "middle", right: "end" }[align], class: className || "" }, words);
  function symbol([name, kind, closed, x, y]) {
    const group = draw("g", { transform: `translate(${x} ${y})`, class: "bench-symbol" });
    const shapes = {
      contact: closed ? "M0-2.6V-1.4M0 2.6V1.4M0 1.4L0.9-1.6M0-1.4H1.2" : "M0-2.6V-1.4M0 2.6V1.4M0 1.4L1.4-1.2",
      coil: "M-1.6-1.2H1.6V1.2H-1.6ZM0-2.6V-1.2M0 2.6V1.2", resistor: "M-0.8-1.6H0.8V1.6H-0.8Z", source: "M0-2.6V-1.7M0 2.6V1.7M-1.7 0A1.7 1.7 0 1 0 1.7 0A1.7 1.7 0 1 0-1.7 0M0-1V-0.2M-0.4-0.6H0.4M-0.4 0.8H0.4",
      diode: "M-1.2 1H1.2L0-1ZM-1.2-1H1.2M0-2.6V2.6", suppressor: "M-0.8-1.6H0.8V1.6H-0.8ZM-1.5 1.5L1.5-1.5",
    };
    group.append(draw("path", { d: shapes[kind] || "M-1.6-1.2H1.6V1.2H-1.6Z" }), draw("rect", { x: -2.6, y: -2.6, width: 5.2, height: 5.2, class: "bench-hit" }));
    group.addEventListener("click", () => choose(`d ${name.split(".")[0]}`));
    return group;
  }
  function choose(where) {
    ui.where.value = where;
    listFaults(true);
    if (!state.lesson) ui.fault.focus();
  }
  function picture() {
    const [width, height] = table.picture.size;
    const svg = draw("svg", { viewBox: `0 0 ${width} ${height}`, role: "img", class: "drawn", "aria-label": "Wiring of the door. Terminals and wires are in the lists beside it too." });
    svg.style.setProperty("min-width", `${Math.round(width * 3.6)}px`);
    ui.arrows = draw("g", { class: "bench-arrows" });
    ui.probes = draw("g", { class: "bench-probes" });
    const wires = draw("g"), boxes = draw("g"), hits = draw("g");
    for (const box of table.picture.boxes) {
      const [x, y, w, h] = box.rect, group = draw("g", { class: "bench-box" });
      const outline = draw("rect", { x, y, width: w, height: h });
      outline.addEventListener("click", () => choose(`d ${box.ref}`));
      group.append(outline, ...box.lines.map((line) => draw("path", { d: path(line) })), ...box.dots.map(([cx, cy]) => draw("circle", { cx, cy, r: 0.5 })), ...box.texts.map((t) => text(t)), ...box.symbols.map(symbol));
      boxes.append(group);
    }
    for (const one of table.picture.across) boxes.append(...one.symbols.map(symbol), ...one.texts.map((t) => text(t)));
    for (const [, x, y, w, h, texts] of table.picture.jackets) boxes.append(draw("rect", { x, y, width: w, height: h, rx: w / 2, class: "bench-jacket" }), ...texts.map((t) => text(t)));
    for (const [ref, points, texts] of table.picture.wires) {
      const line = draw("path", { d: path(points), class: "bench-wire" }), hit = draw("path", { d: path(points), class: "bench-wire-hit" });
      hit.append(draw("title", {}, wireWords(ref)));
      hit.addEventListener("click", () => choose(`w ${ref}`));
      wirePaths.set(ref, { line, points });
      wires.append(line, ...texts.map((t) => text(t)));
      hits.append(hit);
    }
    for (const [name, x, y, words, lx, ly, size, align] of table.picture.terminals) {
      const n = table.terminals.indexOf(name), mark = draw("circle", { cx: x, cy: y, r: 1.1, class: "bench-terminal" }), hit = draw("circle", { cx: x, cy: y, r: 3.2, class: "bench-hit" });
      hit.append(draw("title", {}, name));
      hit.addEventListener("click", () => place(n));
      terminalMarks.set(n, [x, y]);
      boxes.append(text([words, lx, ly, size, align]), mark);
      hits.append(hit);
    }
    svg.append(wires, boxes, ui.arrows, hits, ui.probes);
    return svg;
  }
  const wireWords = (ref) => { const [, a, b, colour, cable] = table.wires.find((one) => one[0] === ref); return `${[cable, colour].filter(Boolean).join(" ")} ${a} to ${b}`.trim(); };
  function place(n) {
    state[state.next] = n;
    state.next = state.next === "red" ? "black" : "red";
    show(true);
  }
  function arrow(points, forward, amps) {
    let best = [points[0], points[1]], length = -1;
    for (let k = 1; k < points.length; k++) {
      const d = Math.hypot(points[k][0] - points[k - 1][0], points[k][1] - points[k - 1][1]);
      if (d > length) { length = d; best = [points[k - 1], points[k]]; }
    }
    const [[x0, y0], [x1, y1]] = best, angle = (Math.atan2(y1 - y0, x1 - x0) * 180) / Math.PI + (forward ? 0 : 180), size = amps >= 0.05 ? 1.5 : 1;
    return draw("path", { d: `M${-size} ${-size * 0.7}L${size} 0L${-size} ${size * 0.7}Z`, transform: `translate(${(x0 + x1) / 2} ${(y0 + y1) / 2}) rotate(${angle})` });
  }

  /* --- showing --- */
  function show(measured) {
    if (!live) return;
    const fault = state.lesson ? state.lesson.fault : state.fault;
    [...ui.switches.children].forEach((button, n) => button.setAttribute("aria-pressed", String(state.on.has(n))));
    ui.power.textContent = isDead(state.on) ? "All power on" : "All power off";
    ui.power.hidden = powers.length === 0;
    ui.volts.setAttribute("aria-pressed", String(state.meter === "volts"));
    ui.ohms.setAttribute("aria-pressed", String(state.meter === "ohms"));
    ui.red.value = String(state.red);
    ui.black.value = String(state.black);
    const row = rowOf(fault, state.on);
    showDoor(row);
    showCurrents(row);
    const [words, isOne] = reading(fault, state.on, state.meter, state.red, state.black);
    ui.reading.textContent = words;
    ui.reading.classList.toggle("bench-number", isOne);
    fill(ui.probes, ...["red", "black"].flatMap((which) => {
      const at = terminalMarks.get(state[which]);
      return at ? [draw("circle", { cx: at[0], cy: at[1], r: 1.8, class: `bench-${which}` }), draw("text", { x: at[0], y: at[1] - 2.4, class: `bench-${which}`, "font-size": 3, "text-anchor": "middle" }, which === "red" ? "+" : "-")] : [];
    }));
    for (const [ref, { line }] of wirePaths) line.classList.toggle("bench-faulty", !state.lesson && table.faults[state.fault][2].includes(ref));
    if (measured && isOne && state.lesson) countReading();
    showFaultNote();
  }
  function showDoor(row) {
    if (row < 0) {
      ui.lock.textContent = "Not in the tables: too many switches at once. Put one back.";
      ui.lock.className = "bench-lock";
      fill(ui.why); fill(ui.inputs);
      return;
    }
    if (trouble(row)) {
      ui.lock.textContent = trouble(row) === 1 ? "No steady state: a relay chatters." : "No steady state: a supply cannot carry what is on it.";
      ui.lock.className = "bench-lock bench-unsteady";
      fill(ui.why); fill(ui.inputs);
      return;
    }
    const locks = lockWords(row), word = new Set(locks.map((one) => one.is));
    const said = { locked: "Locked", released: "Released", unknown: "Cannot be said", "as before": "Stays as it was" };
    ui.lock.textContent = word.size === 1 ? said[locks[0].is] : locks.map((one) => `${one.ref}: ${said[one.is].toLowerCase()}`).join(", ");
    ui.lock.className = `bench-lock bench-${word.size === 1 ? locks[0].is.replace(" ", "-") : "mixed"}`;
    /* a learner sees what can be seen at a door, and measures the rest */
    fill(ui.why, ...[...(state.lesson ? [] : locks.map((one) => `${one.why}.`)), ...whyLines(row)].map((line) => make("li", {}, line)));
    fill(ui.inputs, ...inputLines(row).map((line) => make("li", {}, line)));
  }
  function showCurrents(row) {
    const steady = row >= 0 && !trouble(row) && !state.lesson, rows = [], arrows = [];
    table.wires.forEach(([ref, a, b], n) => {
      const amps = steady ? live.a.at(row, n) * AMPERE : 0, flows = Math.abs(amps) >= 0.0005;
      const drawn = wirePaths.get(ref);
      if (drawn) {
        drawn.line.classList.toggle("bench-flows", flows);
        if (flows) arrows.push(arrow(drawn.points, amps > 0, Math.abs(amps)));
      }
      if (flows) rows.push(make("tr", {}, ...[wireWords(ref), amps > 0 ? a : b, amps > 0 ? b : a, amperes(amps)].map((t) => make("td", {}, t))));
    });
    fill(ui.arrows, ...arrows);
    fill(ui.currents, ...(rows.length ? rows : [make("tr", {}, make("td", { colspan: "4" }, state.lesson ? "Not shown during a lesson: nobody sees a current." : steady ? "No wire carries 0.5 mA or more." : "Nothing steady."))]));
  }
  function showFaultNote() {
    if (state.lesson) { ui.faultNote.textContent = ""; return; }
    const [kind, words] = table.faults[state.fault];
    ui.faultNote.textContent = state.fault ? `In the door now: ${words}.` : `No fault. Poor joints are in the tables at ${table.joints.join(", ")} Ω; other resistances and two faults together are not.`;
    ui.faultNote.classList.toggle("bench-warn", kind !== "");
  }
  async function readOhms() {
    if (ohms || !table.ohms) return;
    ohms = await unpack(table.ohms);
    show(true);
  }

  /* --- lessons --- */
  function random(seed) {
    let t = (seed >>> 0) + 0x6d2b79f5;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  }
  function lessonStart(words = "") {
    state.lesson = null;
    ui.finder.hidden = false;
    const number = make("input", { id: "bench-seed", type: "number", min: "1", max: "999999", value: String(1 + Math.floor(Math.random() * 999999)), inputmode: "numeric" });
    const begin = () => lessonBegin(Number(number.value) || 1);
    fill(ui.lesson, make("h3", {}, "Lesson"),
      ...(table.lessons.length ? [make("p", {}, "A fault is hidden in the door and a caller complains. Find it with the switches and the meter."), labelled("Lesson number", number), make("button", { type: "button", onclick: begin }, "Start lesson")] : [make("p", {}, "No single fault of this door gives a complaint.")]),
      ...(words ? [make("p", {}, words)] : []));
  }
  function lessonBegin(seed) {
    const lesson = table.lessons[Math.floor(random(seed) * table.lessons.length)];
    const [fault, complaint, series, alike, lookedAt] = lesson;
    state.on.clear();
    state.red = state.black = -1;
    state.lesson = { seed, fault, complaint, series, alike, lookedAt, taken: [], keys: new Set() };
    ui.where.value = "";
    ui.finder.hidden = true;  // so that the answer is chosen beside the lesson, and found without help
    ui.faultBox.querySelector("h3").textContent = "Your answer";
    ui.count = make("p", { role: "status" }, "No readings yet.");
    ui.taken = make("ol", { class: "bench-taken" });
    ui.verdict = make("div", { role: "status" });
    fill(ui.lesson, make("h3", {}, `Lesson ${seed}`), make("p", { class: "bench-complaint" }, `Caller: “${table.complaints[complaint]}”`), ui.count, ui.taken,
      make("p", {}, "Choose place and fault under “Your answer”, then answer."),
      make("div", { class: "bench-switches" }, make("button", { type: "button", onclick: lessonAnswer }, "Answer"), make("button", { type: "button", onclick: () => lessonShow("Shown without an answer.") }, "Show the fault")),
      ui.verdict);
    listFaults(true);
    ui.lesson.scrollIntoView({ block: "nearest" });
  }
  const switchWords = (on) => { const words = [...on].sort((a, b) => a - b).map((n) => table.switches[n][1].replace(/^./, (first) => first.toLowerCase())); return isDead(on) ? `power off${words.filter((_, k) => !powers.includes([...on].sort((a, b) => a - b)[k])).map((w) => `, ${w}`).join("")}` : words.join(", ") || "idle"; };
  function countReading() {
    const lesson = state.lesson, names = [table.terminals[state.red], table.terminals[state.black]], where = switchWords(state.on);
    const key = `${state.meter} ${[...names].sort()} ${where}`;
    if (lesson.keys.has(key)) return;
    lesson.keys.add(key);
    lesson.taken.push(`${names[0]} to ${names[1]}, ${where}: ${ui.reading.textContent}`);
    ui.count.textContent = lesson.taken.length === 1 ? "1 reading." : `${lesson.taken.length} readings.`;
    ui.taken.append(make("li", {}, lesson.taken[lesson.taken.length - 1]));
  }
  function lessonAnswer() {
    const answer = Number(ui.fault.value), lesson = state.lesson;
    if (!answer) { fill(ui.verdict, make("p", {}, "Choose a fault first.")); return; }
    if (answer === lesson.fault) lessonShow("Right.", answer);
    else if (lesson.alike.includes(answer)) lessonShow("Right: no reading tells your answer from the fault that was put in.", answer);
    else lessonShow(`Not that one: ${table.faults[answer][1]}.`, answer);
  }
  function lessonShow(words) {
    const { fault, series, alike, lookedAt, taken, seed } = state.lesson;
    const steps = series.map(([meter, plus, minus, on, shown, out, left, usual]) =>
      make("li", {}, make("strong", {}, `${meter === "V" ? "V DC" : "Ω"}, ${plus} to ${minus}, ${switchWords(new Set(on))}: ${shown}`), ` (healthy: ${usual}). Rules out ${out}; ${left === 1 ? "one fault is" : `${left} faults are`} left. `,
        make("button", { type: "button", onclick: () => goTo(meter, plus, minus, on) }, "Take it")));
    const count = taken.length;
    state.lesson = null;
    state.fault = fault;
    ui.faultBox.querySelector("h3").textContent = "Fault";
    lessonStart();
    fill(ui.lesson, make("h3", {}, `Lesson ${seed}: answer`), make("p", { role: "status" }, words), make("p", {}, make("strong", {}, `It was: ${table.faults[fault][1]}.`), ` You took ${count === 1 ? "1 reading" : `${count} readings`}.`),
      make("p", {}, series.length ? `${series.length <= 3 ? "The fewest readings" : "Readings"} that find it, starting from the complaint:` : "The complaint alone leaves this fault, and those that no reading tells from it."), make("ol", {}, ...steps),
      make("p", {}, lookedAt),
      ...(alike.length ? [make("p", {}, "No reading tells it from:"), make("ul", {}, ...alike.map((n) => make("li", {}, table.faults[n][1])))] : []),
      make("button", { type: "button", onclick: () => lessonStart() }, "Next lesson"));
    listFaults(false);
  }
  function goTo(meter, plus, minus, on) {
    state.on = new Set(on);
    state.meter = meter === "V" ? "volts" : "ohms";
    [state.red, state.black] = [table.terminals.indexOf(plus), table.terminals.indexOf(minus)];
    if (state.meter === "ohms") readOhms();
    show(false);
  }

  unpack(table.live).then((arrays) => {
    live = arrays;
    live.shares = pairs("share");
    live.drifts = pairs("drift");
    build();
    section.dataset.ready = "yes";
    performance.measure("bench ready", "bench begins");
  });
})();
