/* Runs inside a page under test after axe-core: what axe finds as it opens, with all open that can be open, and in the states that `onwards` brings about. */
function axeReport(onwards) {
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
    await onwards(run, button);
    return found;
  }
  setTimeout(() => look().catch((error) => ({ broken: String(error.stack) })).then((found) => window.parent.postMessage({ width: window.innerWidth, found: found }, "*")), 200);
}
