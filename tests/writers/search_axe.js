/* What axe looks at in search.html beside the page as it opens. */
axeReport(async (run) => {
  document.querySelector(".layers").open = false;
  document.querySelector("button[data-spot='3']").click();
  await run("popup");
});
