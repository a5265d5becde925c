// Compares prearc with independent processors on a folder of its outputs.
// Usage: node verify.cjs CHECKS WORK      (NODE_PATH holds the packages)
// CHECKS: the folder of .sch files, beside it findings.schema.json. WORK: N.facts.xml, N.findings ("level rule object" lines),
// N.sarif, N.json, N.name.
const fs = require("node:fs");
const path = require("node:path");
const { Schema } = require("node-schematron");
const { parseXmlDocument } = require("slimdom");
const Ajv = require("ajv").default;
const Ajv2020 = require("ajv/dist/2020").default;
const addFormats = require("ajv-formats").default;

const [checks, work] = process.argv.slice(2);
let passed = 0;
let failed = 0;

function fail(message) {
  console.log(`FAIL ${message}`);
  failed += 1;
}

function loadChecks() {
  return fs.readdirSync(checks).filter((file) => file.endsWith(".sch")).sort().map((file) => ({
    id: path.basename(file, ".sch"),
    schema: Schema.fromString(fs.readFileSync(path.join(checks, file), "utf8")),
  }));
}

// The name a finding goes by: that of the element the assertion failed on.
function objectName(element) {
  if (element.localName === "facts") return "-"; // the whole circuit
  if (element.localName === "rectifier" && element.getAttribute("rail")) return element.getAttribute("rail");
  for (const key of ["ref", "name", "id", "part", "worst", "net", "source", "circuit"]) {
    const value = element.getAttribute ? element.getAttribute(key) : null;
    if (value) return value;
  }
  return "-";
}

// Control bytes, tabs and line ends do not survive the lists of findings; compare the rest.
function plain(name) {
  return name.replace(/[\u0000-\u001f]/g, " ");
}

// Takes the blanks between elements out, which no check looks at and every check would walk over.
function takeBlanks(element) {
  for (const child of [...element.childNodes])
    if (child.nodeType === child.ELEMENT_NODE) takeBlanks(child);
    else if (child.nodeType === child.TEXT_NODE && child.data.trim() === "") element.removeChild(child);
}

function independentFindings(rules, facts) {
  const lines = [];
  const document = parseXmlDocument(facts); // once for all checks
  takeBlanks(document.documentElement);
  for (const rule of rules)
    for (const result of rule.schema.validateDocument(document, {}))
      lines.push(`${rule.id}\t${plain(objectName(result.context))}`);
  return lines.sort();
}

function ownFindings(file) {
  return fs.readFileSync(file, "utf8").split("\n").filter((line) => line !== "" && !line.includes("\tinput\t"))
    .map((line) => line.split("\t").slice(1).join("\t")).sort();
}

// The published schema is draft 4 in name; of what changed since, it uses nothing but the spelling of "id".
function sarifValidator() {
  const file = require.resolve("@microsoft/jest-sarif/lib/schemas/sarif-2.1.0-rtm.5.json");
  const schema = JSON.parse(fs.readFileSync(file, "utf8"));
  delete schema.$schema;
  delete schema.id;
  const ajv = new Ajv({ allErrors: true, strict: false, unicodeRegExp: false });
  addFormats(ajv);
  return ajv.compile(schema);
}

function compareFindings(rules, base, name) {
  const theirs = independentFindings(rules, fs.readFileSync(`${base}.facts.xml`, "utf8"));
  const ours = ownFindings(`${base}.findings`);
  if (theirs.join("\n") === ours.join("\n")) {
    passed += 1;
    return;
  }
  fail(`${name}: the independent Schematron processor differs`);
  for (const line of theirs.filter((each) => !ours.includes(each))) console.log(`  only there: ${line}`);
  for (const line of ours.filter((each) => !theirs.includes(each))) console.log(`  only here:  ${line}`);
}

function findingsValidator() {
  const schema = JSON.parse(fs.readFileSync(path.join(checks, "..", "findings.schema.json"), "utf8"));
  return new Ajv2020({ allErrors: true }).compile(schema);
}

function checkJson(validate, file, name, what) {
  const document = JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(fs.readFileSync(file)));
  if (validate(document)) {
    passed += 1;
    return document;
  }
  fail(`${name}: the ${what} report is not valid`);
  for (const error of validate.errors.slice(0, 5)) console.log(`  ${error.instancePath} ${error.message}`);
  return document;
}

// Both reports tell the same findings at the same places.
function checkAlike(sarif, json, name) {
  const there = sarif.runs.flatMap((run) => run.results.map((result) => {
    const region = result.locations[0]?.physicalLocation?.region;
    return `${result.ruleId} ${region?.startLine ?? "-"}`;
  }));
  const here = json.netlists.flatMap((netlist) => netlist.findings.map(
    (finding) => `${finding.rule} ${finding.line ?? "-"}`));
  if (there.join("\n") === here.join("\n")) passed += 1;
  else fail(`${name}: SARIF and JSON differ`);
}

const rules = loadChecks();
const sarifIsValid = sarifValidator();
const jsonIsValid = findingsValidator();
for (const file of fs.readdirSync(work).filter((each) => each.endsWith(".name")).sort()) {
  const base = path.join(work, path.basename(file, ".name"));
  const name = fs.readFileSync(`${base}.name`, "utf8").trim();
  compareFindings(rules, base, name);
  const sarif = checkJson(sarifIsValid, `${base}.sarif`, name, "SARIF");
  checkAlike(sarif, checkJson(jsonIsValid, `${base}.json`, name, "JSON"), name);
}
console.log(`independent processors: ${passed} passed, ${failed} failed`);
process.exit(failed === 0 && passed > 0 ? 0 : 1);
