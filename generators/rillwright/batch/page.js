"use strict";
(() => {
  const table = document.querySelector("table"), body = table.tBodies[0];
  const heads = [...table.tHead.rows[0].cells], rows = [...body.rows];
  const value = (row, i) => row.cells[i].dataset.v ?? "";
  const apart = (a, b) => {
    if (a === "" || b === "") return a === b ? 0 : a === "" ? 2 : -2; // what has no value stays at the end
    const x = Number(a), y = Number(b);
    return Number.isNaN(x) || Number.isNaN(y) ? Math.sign(a.localeCompare(b, "en", { numeric: true })) : Math.sign(x - y);
  };
  const sort = (i) => {
    const down = heads[i].getAttribute("aria-sort") === "ascending";
    heads.forEach((h) => h.removeAttribute("aria-sort"));
    heads[i].setAttribute("aria-sort", down ? "descending" : "ascending");
    const key = rows.map((row, at) => [row, value(row, i), at]);
    key.sort((a, b) => { const d = apart(a[1], b[1]); return (down && Math.abs(d) === 1 ? -d : d) || a[2] - b[2]; });
    body.append(...key.map((k) => k[0]));
  };
  heads.forEach((h, i) => h.querySelector("button")?.addEventListener("click", () => sort(i)));
  const only = document.querySelector("#only"), count = document.querySelector("#count");
  const sift = () => {
    const words = only.value.toLowerCase().split(/\s+/).filter(Boolean);
    let seen = 0;
    for (const row of rows) {
      const text = row.dataset.text;
      row.hidden = !words.every((w) => text.includes(w));
      seen += row.hidden ? 0 : 1;
    }
    count.value = `${seen} of ${rows.length} shown`;
  };
  only.addEventListener("input", sift);
  sift();
  document.querySelector(".tools").hidden = false;
})();
