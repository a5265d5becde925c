// Reads a bench sheet in a browser as its users would, and checks what they would miss.
// Usage: node page.mjs BROWSER PICTURES FOLDER...     NODE_PATH's packages: puppeteer-core, axe-core.
// FOLDER: a netlist's page.html and facts.xml. PICTURES: a folder for screenshots of the last one, or "-".
// One browser reads them all. Prints a line a failure, then "N passed, M failed".
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";

const require = createRequire(`${process.env.NODE_PATH}/`);
const puppeteer = require("puppeteer-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const [browserPath, pictures, ...folders] = process.argv.slice(2);
let file; // the page that is read
let passed = 0;
let failed = 0;

function check(good, what) {
  if (good) passed += 1;
  else {
    failed += 1;
    console.log(`FAIL ${file}: ${what}`);
  }
}

// Attributes of the elements NAME of the facts, with the source text inside each.
function elements(text, name) {
  const found = [];
  for (const match of text.matchAll(new RegExp(`<${name}((?:\\s+[\\w-]+="[^"]*")*)\\s*(?:/>|>([\\s\\S]*?)</${name}>)`, "g"))) {
    const attributes = {};
    for (const [, key, value] of match[1].matchAll(/([\w-]+)="([^"]*)"/g)) attributes[key] = value;
    found.push({ attributes, inside: match[2] ?? "" });
  }
  return found;
}

// What is drawn, read back from the coordinates: A and s of the corners of each region, and of each sign.
function readPlots() {
  const number = (element, name) => Number(element.dataset[name]);
  return [...document.querySelectorAll("svg g.field")].map((field) => {
    const axis = ["leastAmps", "largestAmps", "shortest", "longest", "left", "right", "upper", "lower"]
      .map((name) => number(field, name));
    const [least, largest, shortest, longest, left, right, upper, lower] = axis;
    const amps = (x) => least * (largest / least) ** ((x - left) / (right - left));
    const seconds = (y) => shortest * (longest / shortest) ** ((lower - y) / (lower - upper));
    const corners = (kind) => {
      const path = field.querySelector(`path.${kind}`);
      return path === null ? [] : path.getAttribute("d").split(/[MLZ]/).filter(Boolean)
        .map((pair) => pair.split(" ").map(Number)).map(([x, y]) => [amps(x), seconds(y)]);
    };
    return {
      title: field.closest("svg").querySelector("title").textContent,
      holds: corners("holds"), opens: corners("opens"), largest,
      right: { holds: corners("right-holds"), opens: corners("right-opens") },
      points: [...field.querySelectorAll(".point")].map((point) => ({
        amps: number(point, "amps"), seconds: number(point, "seconds"),
        drawnAmps: amps(Number(point.getAttribute("cx"))), drawnSeconds: seconds(Number(point.getAttribute("cy"))),
      })),
    };
  });
}

const near = (a, b) => Math.abs(Math.log(a / b)) < 0.02;

function checkPlots(plots, facts) {
  const fuses = elements(facts, "fuse").filter((fuse) => elements(fuse.inside, "gate").length > 0);
  check(plots.length === fuses.length, `${plots.length} plots for ${fuses.length} fuses with known markings`);
  fuses.forEach((fuse, i) => {
    const plot = plots[i];
    const name = fuse.attributes.ref;
    check(plot?.title.includes(name), `plot ${i} is not of ${name}`);
    for (const { attributes: gate } of elements(fuse.inside, "gate"))
      for (const kind of ["holds", "opens"]) {
        const wanted = Number(gate[kind]);
        if (!(wanted > 0) || wanted > 1e4) continue;
        check(plot.opens !== undefined && plot[kind].some(([a, s]) => near(a, Number(gate.amps)) && near(s, wanted)),
          `${name}: no corner of "${kind}" at ${gate.amps} A, ${wanted} s`);
      }
    if (fuse.attributes.recommended && fuse.attributes.recommended !== (fuse.attributes.fitted ?? fuse.attributes.marking))
      for (const { attributes: gate } of elements(fuse.inside, "right-gate"))
        for (const kind of ["holds", "opens"])
          if (Number(gate[kind]) > 0 && Number(gate.amps) < plot.largest)
            check(plot.right[kind].some(([a, s]) => near(a, Number(gate.amps)) && near(s, Number(gate[kind]))),
              `${name}: no corner of "${kind}" of the right marking at ${gate.amps} A, ${gate[kind]} s`);
    for (const point of plot.points) {
      check(near(point.drawnAmps, point.amps), `${name}: ${point.amps} A is drawn at ${point.drawnAmps} A`);
      if (point.seconds > 0)
        check(near(point.drawnSeconds, Math.min(Math.max(point.seconds, 1e-3), 1e4)), `${name}: ${point.seconds} s drawn at ${point.drawnSeconds} s`);
    }
  });
}

async function checkAccess(page, scheme) {
  const result = await page.evaluate(async () => {
    const found = await globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"] });
    return found.violations.map((violation) => `${violation.id}: ${violation.nodes[0].html.slice(0, 120)}`);
  });
  check(result.length === 0, `accessibility (${scheme}): ${result.join("; ")}`);
}

async function checkPage(browser, folder) {
  file = `${folder}/page.html`;
  const page = await browser.newPage();
  const complaints = [];
  const requests = [];
  page.on("console", (message) => complaints.push(message.text()));
  page.on("pageerror", (error) => complaints.push(String(error)));
  page.on("request", (request) => requests.push(request.url()));
  const address = pathToFileURL(resolve(file)).href;
  for (const [width, scheme] of [[360, "light"], [1100, "light"], [1100, "dark"]]) {
    await page.setBypassCSP(true); // for the accessibility checker, which is a script
    await page.setViewport({ width, height: 800 });
    await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: scheme }]);
    await page.goto(address);
    const wide = await page.evaluate(() => document.documentElement.scrollWidth);
    check(wide <= width, `${wide} px wide in a window of ${width}`);
    const out = await page.evaluate(() => [...document.querySelectorAll("main *")].filter((element) => {
      const box = element.getBoundingClientRect();
      return box.right > innerWidth + 1 && box.width > 0 && !element.closest("svg") && !element.closest("thead");
    }).length);
    check(out === 0, `${out} elements reach past a window of ${width} px`);
    await page.evaluate(axe);
    await checkAccess(page, scheme);
    if (pictures !== "-")
      await page.screenshot({ path: `${pictures}/${width}-${scheme}.png`, fullPage: true });
  }
  checkPlots(await page.evaluate(readPlots), readFileSync(`${folder}/facts.xml`, "utf8"));
  await page.emulateMediaType("print");
  for (const [name, width, height] of [["A4", 794, 1123], ["Letter", 816, 1056]]) {
    await page.setViewport({ width, height });
    const cut = await page.evaluate((most) => [...document.querySelectorAll("tr,figure,li")].filter((element) =>
      getComputedStyle(element).breakInside !== "avoid" || element.getBoundingClientRect().height > most).length, height * 0.9);
    check(cut === 0, `${cut} rows or figures can be cut by the end of a page of ${name}`);
    const pdf = await page.pdf({ format: name, path: pictures !== "-" ? `${pictures}/${name}.pdf` : undefined });
    check(pdf.length > 10000 && (await page.evaluate(() => document.documentElement.scrollWidth)) <= width, `${name} is empty or too wide`);
  }
  check(complaints.length === 0, `the browser complains: ${complaints[0]}`);
  check(requests.every((url) => url === address || url.startsWith("data:")), `asks for ${requests.find((url) => url !== address)}`);
  await page.close();
}

const browser = await puppeteer.launch({ executablePath: browserPath, args: ["--no-sandbox", "--disable-gpu"] });
try {
  for (const folder of folders) await checkPage(browser, folder);
} finally {
  await browser.close();
}
console.log(`${passed} passed, ${failed} failed`);
process.exit(failed === 0 && passed > 0 ? 0 : 1);
