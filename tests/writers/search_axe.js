/* Runs inside search.html under test after axe-core: everything open that can be open, then what axe finds. */
(function () {
  "use strict";
  const button = (text) => [...document.querySelectorAll("button")].find((b) => b.textContent === text);
  async function look() {
    const found = { violations: [], passes: 0 };
    const run = async (state) => {
      const result = await axe.run(document, { iframes: false, rules: { "color-contrast-enhanced": { enabled: true } } });
      found.passes += result.passes.length;
      found.violations.push(...result.violations.map((v) => ({ state: state, id: v.id, impact: v.impact, where: v.nodes.slice(0, 3).map((n) => n.html.slice(0, 160)) })));
    };
    await run("as it opens");
    if (button("Show the details")) button("Show the details").click();
    document.querySelectorAll("details").forEach((d) => { d.open = true; });
    await run("all open");
    document.querySelector(".layers").open = false;
    document.querySelector("button[data-spot='3']").click();
    await run("popup");
    return found;
  }
  setTimeout(() => look().catch((error) => ({ broken: String(error.stack) })).then((found) => window.parent.postMessage({ width: window.innerWidth, found: found }, "*")), 200);
})();
