/* Finding a fault from readings taken at the real door: ranks what is in the bench's tables. It computes no circuit. */
window.riserkitFinder = (bench) => {
  "use strict";
  const { table, state, make, fill, volts, ohmsOf, lockIs, atLimit, labelled, switchWords, isDead, powers, mark } = bench;
  const SHARE = 0.2, LEAST_V = 0.15, LEAST_OHM = 1, METER_V = 0.1, OPEN_OHM = 1e5, MOST_LISTED = 10, MOST_COMPARED = 160, LEAST_BITS = 0.05, AS_GOOD = 0.3, AS_WELL = 0.5, A_WIRE = 0.1, SOMEBODY = 1, LONG_LEAD = 1;
  const UNITS = { volts: { "": [1, "V"], v: [1, "V"], mv: [0.001, "mV"] },
    ohms: { "": [1, "Ω"], "ω": [1, "Ω"], ohm: [1, "Ω"], ohms: [1, "Ω"], k: [1e3, "kΩ"], "kω": [1e3, "kΩ"], kohm: [1e3, "kΩ"], "mω": [1e6, "MΩ"], mohm: [1e6, "MΩ"] } };
  const taken = [];
  const ui = {};

  /* Faults as they are looked for: a poor joint once, in ranges between the resistances that are in the tables. */
  function suspects() {
    const found = new Map();
    const broken = new Map(table.faults.flatMap(([kind, , blames], n) => (kind === "wire open" ? [[blames.join(" "), n]] : [])));
    table.faults.forEach(([kind, words, blames, weight], n) => {
      if (n === 0) return;
      if (kind !== "poor joint") { found.set(`${n}`, { words, weight, forms: [{ faults: [n], range: "" }] }); return; }
      const key = `joint ${blames.join(" ")}`;
      if (!found.has(key)) found.set(key, { words: words.replace(/ of \S+ ohm in /, " in "), weight: 0, faults: [], broken: broken.get(blames.join(" ")) });
      const one = found.get(key);
      one.weight += weight;
      one.faults.push(n);
    });
    for (const one of found.values()) {
      if (!one.faults) continue;
      const last = one.faults.length - 1;
      one.forms = one.faults.map((n, k) => ({
        faults: k < last ? [n, one.faults[k + 1]] : one.broken === undefined ? [n] : [n, one.broken],
        range: k < last ? [table.joints[k], table.joints[k + 1]] : [table.joints[k], Infinity],
      }));
    }
    return [...found.values()];
  }
  const every = suspects();
  const healthy = { words: "no fault", weight: 1, forms: [{ faults: [0], range: "" }] };

  /* How far a voltage may lie from the tabled one is the solver's range: within a share of it between terminals of one device, with
     one switch on at most, or listed. Elsewhere within a fifth. */
  const { share, least, states: solvedStates, of: listed } = table.wide;
  const count = table.terminals.length, device = table.terminals.map((name) => name.split(".")[0]);
  const stateAt = new Map(solvedStates.map((on, n) => [on.join(), n]));
  const keyOf = (fault, at, a, b) => ((fault * solvedStates.length + at) * count + a) * count + b;
  const ranges = new Map(listed.map(([fault, at, a, b, low, high]) => [keyOf(fault, at, a, b), [low / 10 - METER_V, high / 10 + METER_V]]));
  function stateOf(one) {
    if (one.at === undefined) one.at = one.meter === "volts" && device[one.red] === device[one.black] ? stateAt.get([...one.on].sort((a, b) => a - b).join()) ?? -1 : -1;
    return one.at;
  }

  /* Least and greatest value that a form allows; null for anything. */
  function allowed(form, one) {
    let low = Infinity, high = -Infinity;
    const at = stateOf(one);
    for (const fault of form.faults) {
      const value = one.meter === "volts" ? volts(fault, one.on, one.red, one.black) : ohmsOf(fault, one.on, one.red, one.black);
      if (value === undefined || value === null) return null;
      const room = at < 0 ? SHARE * Math.abs(value) + (one.meter === "volts" ? LEAST_V : LEAST_OHM) : share * Math.abs(value) + least;
      low = Math.min(low, value === Infinity ? OPEN_OHM : value - room);
      high = Math.max(high, value === Infinity ? Infinity : value + room);
      const range = at < 0 ? undefined : ranges.get(keyOf(fault, at, Math.min(one.red, one.black), Math.max(one.red, one.black)));
      if (range) {
        low = Math.min(low, one.red < one.black ? range[0] : -range[1]);
        high = Math.max(high, one.red < one.black ? range[1] : -range[0]);
      }
      if (one.meter === "volts" && atLimit(fault, one.on)) { low = Math.min(low, -LEAST_V); high = Math.max(high, LEAST_V); }
    }
    return [low, high];
  }
  /* Where wires are landed: a form that shows at the place for sure, or may. */
  const otherAt = new Map(table.landings.map(([fault, sure, perhaps]) => [fault, { sure, may: [...sure, ...perhaps] }]));
  const landedAt = (fault, one, how) => (otherAt.get(fault)?.[how] ?? []).some((n) => (one.red < 0 ? device[n] === one.device : n === one.red));
  function fits(form, one) {
    if (one.meter === "wires") return form.faults.some((fault) => (one.value ? !landedAt(fault, one, "sure") : landedAt(fault, one, "may")));
    if (one.meter === "seen") return form.faults.some((fault) => { const is = lockIs(fault, one.on); return is === null || is === one.value; });
    const range = allowed(form, one);
    return range === null || (range[0] <= one.high && range[1] >= one.low);
  }
  const left = (suspect) => suspect.forms.filter((form) => taken.every((one) => fits(form, one)));
  /* How closely: of two that fit, the one that allows less explains more. */
  function closeness(forms) {
    return taken.reduce((product, one) => {
      if (one.meter === "seen" || one.meter === "wires") return product;
      const ranges = forms.map((form) => allowed(form, one));
      const mayBeAnything = ranges.some((range) => range === null) || (one.meter === "volts" && forms.some((form) => form.faults.some((fault) => atLimit(fault, one.on))));
      if (mayBeAnything) return product * 0.02;
      const width = Math.min(48, Math.max(...ranges.map((r) => r[1])) - Math.min(...ranges.map((r) => r[0])));
      return product / (1 + width);
    }, 1);
  }
  function candidates() {
    return every.flatMap((suspect) => {
      const forms = left(suspect);
      return forms.length ? [{ suspect, forms, weight: (suspect.weight * forms.length) / suspect.forms.length * closeness(forms) }] : [];
    }).sort((a, b) => b.weight - a.weight || (a.suspect.words < b.suspect.words ? -1 : 1));
  }

  /* --- the next reading: least left open on average (de Kleer and Williams 1987, section 4) --- */
  function* readings() {
    const single = table.switches.flatMap(([, , role], n) => (powers.includes(n) || role === "fire alarm" ? [] : [new Set([n])]));
    const off = new Set(powers);
    const ofDevice = new Map();
    table.terminals.forEach((name, n) => { const ref = name.split(".")[0]; ofDevice.set(ref, [...(ofDevice.get(ref) || []), n]); });
    for (const [ref, , , , effort] of table.devices) {
      const places = ofDevice.get(ref) || [];
      for (let a = 0; a < places.length; a++) for (let b = a + 1; b < places.length; b++) {
        for (const on of [new Set(), ...single]) yield { meter: "volts", on, red: places[a], black: places[b], effort: effort + SOMEBODY * on.size };
        if (powers.length) yield { meter: "ohms", on: off, red: places[a], black: places[b], effort: effort + 0.5 };
      }
    }
    /* Each terminal to the return of the supply outside, where the black lead stays: the place where a voltage is lost is halved in on. */
    const common = table.returns.at(-1), card = table.switches.findIndex(([key]) => key === "credential");
    if (common === undefined) return;
    for (const [ref, , , , effort] of table.devices) for (const place of (ofDevice.get(ref) || []).filter((n) => !table.returns.includes(n) && landed.get(ref)?.has(table.terminals[n])))
      for (const on of card < 0 ? [new Set()] : [new Set(), new Set([card])]) yield { meter: "volts", on, red: place, black: common, effort: effort + LONG_LEAD + SOMEBODY * on.size };
  }
  /* The devices at which wires are landed, with the terminals. */
  const landed = new Map();
  for (const [, a, b] of table.wires) for (const name of [a, b]) { const ref = name.split(".")[0]; landed.set(ref, (landed.get(ref) ?? new Set()).add(name)); }
  const same = (a, b) => a.meter === b.meter && (a.meter === "wires" ? a.device === b.device && (a.value !== b.value || a.red === b.red) : [...a.on].sort().join() === [...b.on].sort().join() && Math.min(a.red, a.black) === Math.min(b.red, b.black) && Math.max(a.red, a.black) === Math.max(b.red, b.black));
  function next(found) {
    const forms = [];
    found.forEach(({ forms: some, weight }, of) => some.forEach((form) => forms.push({ form, of, weight: weight / some.length })));
    if (found.length < 2) return {};
    forms.sort((a, b) => b.weight - a.weight);
    forms.length = Math.min(forms.length, MOST_COMPARED);
    const whole = forms.reduce((sum, one) => sum + one.weight, 0), p = forms.map((one) => Math.sqrt(one.weight / whole));
    const total = p.reduce((sum, x) => sum + x, 0);
    const bits = (masses) => { let sum = 0, terms = 0; for (const x of masses.values()) { sum += x; terms += x * Math.log2(x); } return sum ? Math.log2(sum) - terms / sum : 0; };
    const massOf = (keep) => { const masses = new Map(); forms.forEach((one, k) => { if (keep(k)) masses.set(one.of, (masses.get(one.of) || 0) + p[k]); }); return masses; };
    const now = bits(massOf(() => true));
    const gain = (values, stays) => {
      const outcomes = new Map();
      values.forEach((value, k) => outcomes.set(value, (outcomes.get(value) || 0) + p[k]));
      let open = 0;
      for (const [value, mass] of outcomes) open += (mass / total) * bits(massOf((k) => stays(value, k)));
      return now - open;
    };
    /* Power stays on as long as readings under it tell anything like as much, unless it is off already. */
    const isOff = taken.filter((one) => one.meter === "volts" || one.meter === "ohms").at(-1)?.meter === "ohms";
    const best = { volts: null, ohms: null };
    for (const one of readings()) {
      if (taken.some((other) => same(one, other))) continue;
      const ranges = forms.map(({ form }) => allowed(form, one));
      const values = forms.map(({ form }) => (one.meter === "volts" ? volts : ohmsOf)(form.faults[0], one.on, one.red, one.black));
      const shown = values.map((value, k) => (ranges[k] === null || (one.meter === "volts" && atLimit(forms[k].form.faults[0], one.on)) ? null : Math.round(Math.min(value, 1e6) * 20) / 20));
      const told = gain(shown, (value, k) => value === null || ranges[k] === null || (ranges[k][0] <= value && ranges[k][1] >= value)), worth = told / one.effort ** 0.25;
      if (told >= LEAST_BITS && worth > (best[one.meter]?.worth ?? 0)) best[one.meter] = { one, gain: told, worth };
    }
    const { volts: live, ohms: dead } = best;
    const chosen = !live || !dead ? live ?? dead : live.worth >= dead.worth || (!isOff && live.gain >= AS_GOOD * dead.gain) ? live : dead;
    /* Wires are looked at before where that tells at least half as much for its effort as the reading. */
    let look = null, most = AS_WELL * (chosen?.worth ?? 0);
    for (const [ref, , , , effort] of table.devices) {
      if (!landed.has(ref) || taken.some((one) => one.meter === "wires" && one.device === ref)) continue;
      const seen = forms.map(({ form }) => (otherAt.get(form.faults[0])?.sure ?? []).filter((n) => device[n] === ref).join());
      const told = gain(seen, (value, k) => seen[k] === value), worth = told / (effort + A_WIRE * landed.get(ref).size) ** 0.25;
      if (told >= LEAST_BITS && worth > 0 && worth >= most) [look, most] = [ref, worth];
    }
    return { reading: chosen?.one, look };
  }

  /* --- words --- */
  const ohm = (value) => (value >= 1000 ? `${value / 1000} kΩ` : `${value} Ω`);
  function rangeWords(forms) {
    const ranges = forms.map((form) => form.range).filter((range) => range);
    if (!ranges.length) return "";
    const low = Math.min(...ranges.map((r) => r[0])), high = Math.max(...ranges.map((r) => r[1]));
    return high === Infinity ? `, ${ohm(low)} or more` : `, ${ohm(low)} to ${ohm(high)}`;
  }
  const stateWords = (on) => (isDead(on) ? "power off" : [...on].sort((a, b) => a - b).map((n) => table.switches[n][3]).join(", ") || "idle");
  const leads = (one) => `${table.terminals[one.red]} ${table.terminals[one.black]}`;
  const wiresSaid = (one) => `${one.value ? "as listed" : "not as listed"} at ${one.red < 0 ? one.device : table.terminals[one.red]}`;
  const said = (one) => (one.meter === "wires" ? `Wires ${wiresSaid(one)}` : one.meter === "seen" ? `Lock ${one.value}, ${switchWords(one.on)}` : `${table.terminals[one.red]} to ${table.terminals[one.black]}, ${switchWords(one.on)}: ${one.text}`);
  const quoted = (text) => `"${text.replace(/["\\$`]/g, "\\$&")}"`;
  function command() {
    const told = taken.map((one) => (one.meter === "wires" ? `--sees ${quoted(wiresSaid(one))}` : one.meter === "seen" ? `--sees ${quoted(`lock ${one.value} in ${stateWords(one.on)}`)}` : `--reading ${quoted(`${leads(one)} ${one.text.replace("Ω", "ohm")} ${stateWords(one.on)}`)}`));
    return ["riserkit diagnose SITE", /^[\w.-]+$/.test(mark) ? mark : quoted(mark), ...told].join(" ");
  }

  /* --- the page --- */
  /* What is stated anew takes the place of what was stated of the same. */
  function take(one) {
    for (let n = taken.length - 1; n >= 0; n--) if (same(one, taken[n])) taken.splice(n, 1);
    taken.push(one);
    update();
  }
  function add(typed) {
    if (state.red < 0 || state.black < 0 || state.red === state.black) return note("Put both probes on terminals first.");
    if (state.meter === "ohms" && !isDead(state.on)) return note("Ohms only with power off. Switch off network power, mains and battery.");
    if (state.meter === "volts" && isDead(state.on)) return note("Volts with all power off say nothing. Choose Ω, or switch power on.");
    const one = { meter: state.meter, on: new Set(state.on), red: state.red, black: state.black };
    const [, number, unit] = typed.trim().replace(",", ".").match(/^(-?\d+(?:\.\d+)?)\s*(\D*)$/) || [];
    const [scale, name] = UNITS[state.meter][(unit ?? "none").toLowerCase()] || [];
    if (/^\s*(open|o\.?l\.?)\s*$/i.test(typed)) {
      if (state.meter === "volts") return note("Open is for ohms. Choose Ω, with power off.");
      Object.assign(one, { low: OPEN_OHM, high: Infinity, text: "open" });
    } else if (scale) {
      const value = Number(number) * scale, digit = 0.5 * scale * 10 ** -((number.split(".")[1] || "").length);
      Object.assign(one, { low: value - digit, high: value + digit, text: `${number} ${name}` });
    } else return note(state.meter === "volts" ? "Type what the meter shows in volts, such as 3.0." : "Type what the meter shows in ohms, such as 54 or 4.7k, or: open.");
    ui.value.value = "";
    take(one);
  }
  function saw(value) {
    take({ meter: "seen", on: new Set(state.on), red: -1, black: -1, value });
  }
  function sawWires(asListed) {
    if (state.red < 0 || !landed.has(device[state.red])) return note("Put the red probe on a terminal of a device that has wires.");
    take({ meter: "wires", on: new Set(), device: device[state.red], red: asListed ? -1 : state.red, black: -1, value: asListed });
  }
  const note = (words) => { ui.note.textContent = words; };
  function update() {
    note("");
    fill(ui.taken, ...taken.map((one, n) => make("li", {}, `${said(one)} `, make("button", { type: "button", "aria-label": `Take back: ${said(one)}`, onclick: () => { taken.splice(n, 1); update(); } }, "Take back"))));
    if (!taken.length) { fill(ui.result); return; }
    const found = candidates(), isHealthy = left(healthy).length > 0;
    const shown = found.slice(0, MOST_LISTED), parts = [];
    if (isHealthy) parts.push(make("p", {}, "A healthy door shows the same. Add what is not as it should be."));
    else if (!found.length) parts.push(make("p", {}, "No single fault in the tables explains this. Take the readings again; two faults together, another lock and a slip of the meter are found by the command below."));
    else parts.push(make("p", {}, found.length === 1 ? "One fault explains this:" : `${found.length} faults explain this, the likeliest first:`));
    if (!isHealthy && found.length) {
      const item = ({ suspect, forms }) => make("li", {}, `${suspect.words}${rangeWords(forms)}`);
      const list = make("ol", { class: "bench-candidates" }, ...shown.map(item));
      const rest = found.slice(MOST_LISTED).map(item);
      parts.push(list, ...(rest.length ? [make("details", {}, make("summary", {}, `And ${rest.length} less likely`), make("ol", { class: "bench-candidates", start: MOST_LISTED + 1 }, ...rest))] : []));
    }
    const { reading, look } = next(isHealthy ? [{ suspect: healthy, forms: healthy.forms, weight: 1 }, ...found] : found);
    if (look) parts.push(make("p", { class: "bench-look" }, make("strong", {}, `Look first: are the wires at ${look} landed as the landing list says?`), ` Put the red probe on a terminal of ${look} and press what you see; where they are not, put it on each terminal that is not.`));
    if (reading) {
      parts.push(make("p", { class: "bench-next" }, make("strong", {}, `Next reading: ${reading.meter === "volts" ? "V DC" : "Ω"}, ${table.terminals[reading.red]} to ${table.terminals[reading.black]}, ${switchWords(reading.on)}.`)),
        make("button", { type: "button", onclick: () => bench.goTo(reading.meter === "volts" ? "V" : "R", table.terminals[reading.red], table.terminals[reading.black], [...reading.on]) }, "Put the probes there"));
    } else if (found.length > 1) parts.push(make("p", {}, "No reading in the tables tells these apart. Check them one by one, the easiest first."));
    parts.push(make("p", {}, "Exact, with pairs of faults and the resistance of a poor joint:"), make("pre", { class: "bench-command", tabindex: "0", "aria-label": "Command" }, command()));
    fill(ui.result, ...parts);
    [ui.next, ui.look] = [reading, look];
  }

  ui.value = make("input", { id: "bench-typed", inputmode: "decimal", autocomplete: "off", onkeydown: (event) => { if (event.key === "Enter") add(ui.value.value); } });
  ui.note = make("p", { role: "status" });
  ui.taken = make("ol", { class: "bench-taken" });
  ui.result = make("div", { "aria-live": "polite", class: "bench-found" });
  const element = make("section", { id: "bench-finder" }, make("h3", {}, "Fault at the real door"),
    make("p", {}, "Set the switches as the door is, put the probes where the meter is, and type what it shows. The list holds single faults, with the range that the tolerance of parts, supplies and temperature gives each reading; a poor joint between tabled resistances. Two faults together and another lock are not in it. Where the meter shows a minus, exchange the leads and type the number without it."),
    labelled("Meter shows", ui.value),
    make("div", { class: "bench-switches" }, make("button", { type: "button", onclick: () => add(ui.value.value) }, "Add reading"),
      /* a telephone's number keys have no letters, and some no minus */
      make("button", { type: "button", onclick: () => add("open") }, "Meter shows open (OL)"),
      make("button", { type: "button", onclick: () => saw("locked") }, "Lock seen locked"), make("button", { type: "button", onclick: () => saw("released") }, "Lock seen released"),
      make("button", { type: "button", onclick: () => sawWires(true) }, "Wires at the red probe's device as listed"), make("button", { type: "button", onclick: () => sawWires(false) }, "Wires at the red probe not as listed"),
      make("button", { type: "button", onclick: () => { taken.length = 0; update(); } }, "Start again")),
    ui.note, ui.taken, ui.result);
  /* For tests: what a fault of the tables allows at a reading. */
  window.riserkitFinderAllows = (fault, on, red, black) => allowed({ faults: [fault] }, { meter: "volts", on: new Set(on), red: table.terminals.indexOf(red), black: table.terminals.indexOf(black) });
  /* For tests: what is left and the next reading, as texts. */
  window.riserkitFinderSays = () => ({ left: candidates().map(({ suspect, forms }) => suspect.words + rangeWords(forms)), next: ui.next ? [ui.next.meter, table.terminals[ui.next.red], table.terminals[ui.next.black], stateWords(ui.next.on)] : null, look: ui.look ?? null, command: command() });
  return element;
};
