"use strict";
/* The composer of acceptances: a row that covers the finding chosen, and what it still lacks. */
{
  const { columns, findings } = JSON.parse(document.getElementById("data").textContent);
  const by = new Map(findings.map((one) => [String(one.number), one]));
  const get = (id) => document.getElementById(id);
  const form = get("compose"), chosen = get("finding"), about = get("about"), lacking = get("lacking"), rows = get("rows");
  const typed = ["reason", "name", "date", "authority", "reference"];
  const today = new Date();
  get("date").value = [today.getFullYear(), today.getMonth() + 1, today.getDate()].map((n) => String(n).padStart(2, "0")).join("-");

  /* A spreadsheet may take such a cell for a formula; an apostrophe before it keeps it text, and is taken off when the site is read. */
  const guarded = (text) => (text && /^'*(?:[=+\-@＝＋－＠]|$)/.test(text) ? `'${text}` : text);
  const quoted = (text) => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);
  const line = (cells) => cells.map((cell) => quoted(guarded(cell))).join(",");
  const entered = (id) => get(id).value.replace(/\s+/g, " ").trim();

  const paragraph = (text, parent) => {
    const element = document.createElement("p");
    element.textContent = text;
    parent.append(element);
  };

  function show() {
    const one = by.get(chosen.value);
    about.replaceChildren();
    lacking.textContent = "";
    for (const id of ["authority", "reference"]) get(id).setAttribute("aria-required", String(Boolean(one?.lifeSafety)));
    if (!one) return;
    paragraph(one.message, about);
    const given = Object.entries(one.given).filter(([, value]) => value).map(([name, value]) => `${name}: ${value}`);
    paragraph(`It will state: ${given.join("; ")}.`, about);
    if (one.lifeSafety) paragraph("Life safety: the approving authority and its reference are needed.", about);
    if (one.uncovered) paragraph(`No row covers this finding: ${one.uncovered}.`, about);
  }

  function lack(one) {
    if (!one) return ["a finding"];
    if (one.uncovered) return ["another finding: this one cannot be accepted by a row"];
    const needed = { reason: "the reason", name: "the name of whoever answers for it", date: "the date" };
    if (one.lifeSafety) Object.assign(needed, { authority: "the approving authority", reference: "the reference of its approval" });
    return Object.keys(needed).filter((id) => !entered(id)).map((id) => needed[id]);
  }

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const one = by.get(chosen.value), lacks = lack(one);
    lacking.textContent = lacks.length ? `State ${lacks.join(", ")}.` : "";
    if (lacks.length) return;
    const cells = { ...one.given, ...Object.fromEntries(typed.map((id) => [id, entered(id)])) };
    const row = line(columns.map((name) => cells[name] ?? ""));
    const before = rows.value || `${columns.join(",")}\n`;
    if (!before.split("\n").includes(row)) rows.value = `${before}${row}\n`;
    get("copied").textContent = "Row added.";
  });
  chosen.addEventListener("input", show);
  get("clear").addEventListener("click", () => { rows.value = ""; get("copied").textContent = "Cleared."; });
  get("copy").addEventListener("click", async () => {
    try {
      await navigator.clipboard.writeText(rows.value);
      get("copied").textContent = "Copied.";
    } catch {
      rows.focus();
      rows.select();
      get("copied").textContent = "Selected: copy with the keyboard or a long press.";
    }
  });
  function follow() {
    const number = location.hash.replace(/^#f/, "");
    if (by.has(number)) { chosen.value = number; show(); }
  }
  window.addEventListener("hashchange", follow);
  follow();
}
