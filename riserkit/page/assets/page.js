"use strict";
/* What every page does: shows what needs scripts, enlarges sheets, finds doors, opens what is printed. */
{
  const made = (name, text, parent) => {
    const element = document.createElement(name);
    element.textContent = text;
    parent.append(element);
    return element;
  };

  for (const element of document.querySelectorAll("[data-needs-script]")) element.hidden = false;

  const PIN_PX = 13, PIN_UNITS = 90, MOST = 16, STEP = 1.5;
  /* lettering on a sheet is 2.5 mm high, 71 tenths of a point */
  const READING_PX = 14, LETTERING_UNITS = 71;

  function zoomable(figure) {
    const view = figure.querySelector(".view"), svg = view.querySelector("svg"), width = svg.viewBox.baseVal.width;
    const name = figure.querySelector("strong").textContent;
    let zoom = 1;
    const tools = document.createElement("div");
    tools.className = "tools";
    view.before(tools);
    const shown = document.createElement("output");

    /* pins keep their size on the screen, but for those that would cover their neighbours */
    const at = [...svg.querySelectorAll("a > g")].map((pin) => pin.transform.baseVal.getItem(0).matrix);
    let apart = Infinity;
    for (const [n, a] of at.entries()) {
      for (const b of at.slice(n + 1)) apart = Math.min(apart, Math.hypot(a.e - b.e, a.f - b.f));
    }
    const pins = () => {
      const pixels = svg.clientWidth / width, room = Math.max(0.45 * apart, PIN_UNITS / 2);
      if (pixels > 0) svg.style.setProperty("--pin", String(Math.min(PIN_PX / pixels, room) / PIN_UNITS));
    };
    const set = (wanted, x = view.clientWidth / 2, y = view.clientHeight / 2) => {
      const next = Math.min(MOST, Math.max(1, wanted)), by = next / zoom;
      const left = (view.scrollLeft + x) * by - x, top = (view.scrollTop + y) * by - y;
      zoom = next;
      svg.style.width = `${100 * zoom}%`;
      view.classList.toggle("enlarged", zoom > 1);
      view.scrollLeft = left;
      view.scrollTop = top;
      shown.value = `${Math.round(100 * zoom)} %`;
      pins();
    };
    const tool = (text, label, act) => {
      const button = made("button", text, tools);
      button.type = "button";
      button.setAttribute("aria-label", `${label}, sheet ${name}`);
      button.addEventListener("click", act);
    };
    tool("+", "Enlarge", () => set(zoom * STEP));
    tool("−", "Reduce", () => set(zoom / STEP));
    tool("Read", "Enlarge lettering to reading size", () => set(READING_PX * width / (LETTERING_UNITS * view.clientWidth)));
    tool("Whole", "Show whole", () => set(1));
    tools.append(shown);
    view.addEventListener("dblclick", (event) => {
      const box = view.getBoundingClientRect();
      set(zoom * 2, event.clientX - box.left, event.clientY - box.top);
    });
    view.addEventListener("wheel", (event) => {
      if (!event.ctrlKey) return;
      event.preventDefault();
      const box = view.getBoundingClientRect();
      set(event.deltaY < 0 ? zoom * 1.2 : zoom / 1.2, event.clientX - box.left, event.clientY - box.top);
    }, { passive: false });
    view.addEventListener("keydown", (event) => {
      const act = { "+": zoom * STEP, "=": zoom * STEP, "-": zoom / STEP, "0": 1 }[event.key];
      if (act !== undefined && !event.ctrlKey && !event.metaKey && event.target === view) { event.preventDefault(); set(act); }
    });
    let from = null;
    view.addEventListener("pointerdown", (event) => {
      if (event.pointerType !== "mouse" || event.button !== 0 || zoom === 1 || event.target.closest("a")) return;
      from = { x: event.clientX + view.scrollLeft, y: event.clientY + view.scrollTop };
      view.setPointerCapture(event.pointerId);
    });
    view.addEventListener("pointermove", (event) => {
      if (!from) return;
      view.scrollLeft = from.x - event.clientX;
      view.scrollTop = from.y - event.clientY;
    });
    for (const end of ["pointerup", "pointercancel"]) view.addEventListener(end, () => { from = null; });
    new ResizeObserver(pins).observe(svg);
    set(1);
  }
  document.querySelectorAll("figure.sheet").forEach(zoomable);

  const find = document.getElementById("find-door"), status = document.getElementById("door-status");
  if (find) {
    const entries = [...document.querySelectorAll("ul.doors > li")], count = document.getElementById("door-count");
    const show = () => {
      const words = find.value.toLowerCase().split(/\s+/).filter(Boolean);
      let shown = 0;
      for (const entry of entries) {
        const text = entry.dataset.find.toLowerCase();
        const fits = words.every((word) => text.includes(word)) && (!status.value || entry.dataset.tone === status.value);
        entry.hidden = !fits;
        shown += fits;
      }
      for (const level of document.querySelectorAll("section.level")) level.hidden = !level.querySelector("li:not([hidden])");
      count.textContent = `${shown} of ${entries.length} doors`;
    };
    find.addEventListener("input", show);
    status.addEventListener("input", show);
    show();
  }

  /* A page that is handed out has its calculations open; alternatives say in one line what decided. */
  let opened = [];
  window.addEventListener("beforeprint", () => {
    opened = [...document.querySelectorAll("details:not([open]):not(.alternative)")];
    for (const one of opened) one.open = true;
  });
  window.addEventListener("afterprint", () => { for (const one of opened) one.open = false; });
}
