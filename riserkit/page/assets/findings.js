"use strict";
/* The list of findings: search, filters, groups, order. */
{
  const list = document.getElementById("findings"), all = [...list.querySelectorAll("article")];
  const search = document.getElementById("search"), group = document.getElementById("group"), sort = document.getElementById("sort");
  const filters = [...document.querySelectorAll("[data-filter]")], count = document.getElementById("count");
  const texts = new Map(all.map((one) => [one, one.textContent.toLowerCase()]));
  const severities = ["error", "warning", "note"], natural = new Intl.Collator("en", { numeric: true });
  const byNumber = (a, b) => a.dataset.number - b.dataset.number;
  const near = (one) => (one.dataset.nearness === undefined ? Infinity : Number(one.dataset.nearness));
  const orders = {
    number: byNumber,
    subject: (a, b) => natural.compare(a.dataset.subject, b.dataset.subject) || byNumber(a, b),
    rule: (a, b) => natural.compare(a.dataset.rule, b.dataset.rule) || byNumber(a, b),
    severity: (a, b) => severities.indexOf(a.dataset.severity) - severities.indexOf(b.dataset.severity) || byNumber(a, b),
    nearness: (a, b) => (near(a) === near(b) ? byNumber(a, b) : near(a) - near(b)),
  };
  const values = (one, name) => (one.dataset[name] ? one.dataset[name].split("|") : []);

  function show() {
    const words = search.value.toLowerCase().split(/\s+/).filter(Boolean);
    const fits = (one) => words.every((word) => texts.get(one).includes(word))
      && filters.every((filter) => !filter.value || values(one, filter.dataset.filter).includes(filter.value));
    const shown = all.filter(fits).sort(orders[sort.value]);
    const groups = new Map();
    for (const one of shown) {
      /* a finding of several doors stands once, under the first of them that is asked for */
      const names = group.value ? values(one, group.value) : [""];
      const asked = filters.find((filter) => filter.dataset.filter === group.value)?.value;
      const name = group.value ? (asked && names.includes(asked) ? asked : names[0] ?? `no ${group.value.replace(/s$/, "")}`) : "";
      if (!groups.has(name)) groups.set(name, []);
      groups.get(name).push(one);
    }
    const names = [...groups.keys()];
    if (group.value === "rule" || group.value === "doors" || group.value === "levels") names.sort(natural.compare);
    const content = [];
    for (const name of names) {
      if (name) {
        const heading = document.createElement("h2");
        heading.className = "group";
        heading.textContent = `${name} (${groups.get(name).length})`;
        content.push(heading);
      }
      content.push(...groups.get(name));
    }
    list.replaceChildren(...content);
    count.textContent = `${shown.length} of ${all.length} findings`;
  }

  document.getElementById("more").open = matchMedia("(min-width: 40rem)").matches;
  for (const control of [search, group, sort, ...filters]) control.addEventListener("input", show);
  document.getElementById("reset").addEventListener("click", () => {
    search.value = "";
    for (const filter of filters) filter.selectedIndex = 0;
    show();
  });
  function follow() {
    const wanted = all.find((one) => `#${one.id}` === location.hash);
    if (!wanted) return;
    if (!list.contains(wanted)) {
      for (const filter of filters) filter.value = "";
      search.value = "";
      show();
    }
    wanted.scrollIntoView();
  }
  window.addEventListener("hashchange", follow);
  show();
  follow();
}
