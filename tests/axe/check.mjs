// Loads each page in Chromium, wide and narrow, and lists what axe-core finds serious or critical. Of a page with a filter
// it also works the filter by the keyboard alone. Usage: node check.mjs CHROMIUM PAGE.html ...
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";
import puppeteer from "puppeteer-core";

const axe = readFileSync(new URL("node_modules/axe-core/axe.min.js", import.meta.url), "utf8");
const [executablePath, ...files] = process.argv.slice(2);
const browser = await puppeteer.launch({ executablePath, args: ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"], protocolTimeout: 600000 });
let faults = 0;
let rules = 0;

const fault = (words) => {
  faults += 1;
  console.log(words);
};

const byKeyboard = async (page, name) => {
  await page.evaluate(() => document.querySelector("h1").scrollIntoView());
  for (let step = 0; step < 400; step += 1) {
    await page.keyboard.press("Tab");
    if (await page.evaluate(() => document.activeElement.id === "filter-verdict")) break;
  }
  if (!(await page.evaluate(() => document.activeElement.id === "filter-verdict"))) return fault(`${name}: the keyboard does not reach the filter`);
  const visible = () => page.evaluate(() => [...document.querySelectorAll(".verdicts > tbody")].filter((row) => row.getClientRects().length > 0).length);
  await page.evaluate(() => document.querySelectorAll("details").forEach((fold) => { fold.open = true; }));
  const all = await visible();
  const before = await page.$eval("#filter output", (told) => told.textContent);
  if (before !== `${all} of ${all} verdicts shown`) fault(`${name}: '${before}' where ${all} are shown`);
  await page.keyboard.press("ArrowDown");
  const some = await visible();
  const after = await page.$eval("#filter output", (told) => told.textContent);
  const wanted = await page.$eval("#filter-verdict", (select) => select.value);
  const expected = await page.evaluate((word) => document.querySelectorAll(`.verdicts > tbody.${word}`).length, wanted);
  if (wanted === "" || some !== expected || some === all || after !== `${some} of ${all} verdicts shown`) fault(`${name}: the filter shows ${some} of ${all} for '${wanted}': ${after}`);
  await page.emulateMediaType("print");
  if ((await visible()) !== all) fault(`${name}: a filtered page is not printed whole`);
  await page.emulateMediaType("screen");
};

// A text of a folded part is found, shown and told of, by the keyboard.
const finds = async (page, name) => {
  const text = await page.evaluate(() => {
    const cells = [...document.querySelectorAll("details:not([open]) th b, details:not([open]) figcaption")];
    return cells.map((cell) => cell.textContent.trim()).find((words) => words.length > 12);
  });
  if (text === undefined) return;
  await page.focus("#find-words");
  await page.keyboard.type(text);
  await page.keyboard.press("Enter");
  const [told, shown] = await page.evaluate(() => {
    const found = document.querySelector(".found");
    return [document.querySelector("#find output").textContent, found !== null && found.getClientRects().length > 0 ? found.textContent : ""];
  });
  if (!/^1 of [1-9]/.test(told) || !shown.includes(text)) fault(`${name}: '${text}' is not found: ${told}, ${shown}`);
};

for (const file of files) {
  for (const width of [1200, 390]) {
    const page = await browser.newPage();
    await page.setViewport({ width, height: 900 });
    await page.setBypassCSP(true);
    await page.goto(pathToFileURL(file).href);
    // What is folded away is checked too.
    await page.evaluate(() => document.querySelectorAll("details").forEach((it) => { it.open = true; }));
    await page.evaluate(axe);
    const found = await page.evaluate(() => window.axe.run(document, { resultTypes: ["violations"] }));
    rules += found.passes.length;
    for (const it of found.violations) {
      const where = it.nodes.slice(0, 3).map((node) => node.target.join(" ")).join("; ");
      const words = `${file} at ${width} px: ${it.impact}: ${it.id}: ${it.help} (${it.nodes.length}): ${where}`;
      if (it.impact === "serious" || it.impact === "critical") fault(words);
      else console.log(`minor: ${words}`);
    }
    await page.close();
  }
  const page = await browser.newPage();
  await page.setViewport({ width: 1200, height: 900 });
  await page.goto(pathToFileURL(file).href);
  // Here the page's own policy holds.
  if ((await page.$("#find")) !== null) await finds(page, file);
  if ((await page.$("#filter")) !== null) await byKeyboard(page, file);
  await page.close();
}
await browser.close();
console.log(`${files.length} pages, ${rules} rules passed, ${faults} faults`);
process.exit(faults === 0 && rules > 0 ? 0 : 1);
