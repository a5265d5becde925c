// Validates a SARIF file: node validate-sarif.mjs SCHEMA FILE
// SCHEMA is sarif-2.1.0-rtm.5.json as installed under some node_modules/, beside ajv and ajv-formats.
// Prints every violation; exits 0 if there is none, 1 if there are, 2 if it could not be tried.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { resolve } from "node:path";

const [schemaPath, file] = process.argv.slice(2);
if (file === undefined) {
  console.error("usage: node validate-sarif.mjs SCHEMA FILE");
  process.exit(2);
}

// The schema is JSON Schema draft 4 in name; of what changed since, it uses nothing but the spelling of "id".
function loadSchema(path) {
  const schema = JSON.parse(readFileSync(path, "utf8"));
  delete schema.$schema;
  delete schema.id;
  return schema;
}

function makeValidator(path) {
  const require = createRequire(resolve(path).split("/node_modules/")[0] + "/");
  const Ajv = require("ajv").default;
  const addFormats = require("ajv-formats").default;
  const ajv = new Ajv({ allErrors: true, strict: false, unicodeRegExp: false });
  addFormats(ajv);
  return ajv.compile(loadSchema(path));
}

let validate, log;
try {
  validate = makeValidator(schemaPath);
  const bytes = readFileSync(file);
  log = JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(bytes));
} catch (error) {
  console.error(`${file}: ${error.message}`);
  process.exit(2);
}

const problems = [];
if (!validate(log))
  for (const error of validate.errors)
    problems.push(`${error.instancePath || "/"} ${error.message}`);

// What the schema cannot say: ruleIndex points at the rule of that id; only "fail" has a level.
(log.runs ?? []).forEach((run, r) => {
  (run.results ?? []).forEach((result, i) => {
    const where = `/runs/${r}/results/${i}`;
    if (result.ruleIndex !== undefined &&
        run.tool.driver.rules?.[result.ruleIndex]?.id !== result.ruleId)
      problems.push(`${where}/ruleIndex is not of ${result.ruleId}`);
    if ((result.kind ?? "fail") !== "fail" && result.level !== "none")
      problems.push(`${where}/level must be none when kind is ${result.kind}`);
  });
});
problems.forEach((problem) => console.log(`${file}: ${problem}`));
process.exit(problems.length === 0 ? 0 : 1);
