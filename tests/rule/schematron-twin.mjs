// Runs the checks over facts documents with node-schematron, independent of prearc's own engine.
// Usage: node schematron-twin.mjs CHECKS FACTS...   prints "FILE<TAB>rule<TAB>object<TAB>level" lines, sorted, to compare with
// those of prearc's engine. The packages are looked for from the working directory.
import fs from "node:fs";
import path from "node:path";
import { createRequire } from "node:module";

const require = createRequire(path.join(process.cwd(), "package.json"));
const { Schema } = require("node-schematron");
const slimdom = require("slimdom");

// What the context of a rule is about; the same table as in src/rule/finding.c, first object only.
const objects = {
  fuse: ["ref"], part: ["ref"], jack: ["ref"], net: ["name"], rail: ["name", "id"], source: ["id"],
  mains: ["part", "source"], rectifier: ["rail"], valve: ["part"], fault: ["id"], conductor: ["fuse"], through: ["fuse"],
  carrier: ["part"], load: ["part"], stress: ["part"], contact: ["net"], node: ["net"], protects: ["net"],
  gap: ["part", "net"], assumption: ["part"], section: ["part"], "line-capacitor": ["part"],
  "capacitor-string": ["net"], "diode-string": ["part"], "loudspeaker-side": ["part"], transistor: ["part"], regulator: ["part"],
  unrated: ["worst"], measured: ["net"], acceptance: ["name", "part", "net"],
};

function objectOf(node) {
  for (const key of objects[node.localName] ?? []) {
    const value = node.getAttribute(key);
    if (value !== null) return value;
  }
  return "-";
}

// A schema whose assertions carry their level as id, because results tell the id only.
function load(file) {
  const document = slimdom.parseXmlDocument(fs.readFileSync(file, "utf8"));
  for (const name of ["assert", "report"])
    for (const assertion of document.getElementsByTagNameNS("http://purl.oclc.org/dsdl/schematron", name))
      assertion.setAttribute("id", assertion.getAttribute("role"));
  return { id: path.basename(file, ".sch"), schema: Schema.fromDom(document) };
}

const [checks, ...files] = process.argv.slice(2);
const schemas = fs.readdirSync(checks).filter((file) => file.endsWith(".sch"))
  .map((file) => load(path.join(checks, file)));
const lines = [];
for (const file of files) {
  const facts = slimdom.parseXmlDocument(fs.readFileSync(file, "utf8"));
  for (const { id, schema } of schemas)
    for (const result of schema.validateDocument(facts, {}))
      lines.push([file, id, objectOf(result.context), result.assertId].join("\t"));
}
lines.sort();
process.stdout.write(lines.map((line) => `${line}\n`).join(""));
