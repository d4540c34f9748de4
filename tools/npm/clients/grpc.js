// A client of the gRPC door, its calls read from the .proto files when it
// starts: it credits a recipe, reads the details of a refusal, walks the foods,
// checks a record, reviews a menu, and credits fifty recipes over one stream.
//
// usage: node grpc.js HOST:PORT OPENAPI.json PROTO_DIR...

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { promisify } from "node:util";
import grpc from "@grpc/grpc-js";
import loader from "@grpc/proto-loader";

const [address, openapi, ...includeDirs] = process.argv.slice(2);
assert(includeDirs.length, "usage: node grpc.js HOST:PORT OPENAPI.json PROTO_DIR...");
const types = loader.loadSync(
  ["ozeq/service/v1/service.proto", "google/rpc/status.proto", "google/rpc/error_details.proto"],
  { includeDirs, defaults: true, enums: String },
);
const { CreditService, MenuService, ReferenceService } = grpc.loadPackageDefinition(types).ozeq.service.v1;
const credentials = grpc.credentials.createInsecure();
const credit = new CreditService(address, credentials);
const menus = new MenuService(address, credentials);
const reference = new ReferenceService(address, credentials);

const call = (client, method, request) =>
  promisify(client[method]).call(client, request, { deadline: Date.now() + 5000 });

// refusal waits for a call to be refused, and reads what the status says.
async function refusal(promise) {
  const error = await promise.then(
    () => assert.fail("the call was answered"),
    (e) => e,
  );
  const [bytes] = error.metadata?.get("grpc-status-details-bin") ?? [];
  assert(bytes, `no details come with: ${error}`);
  const status = types["google.rpc.Status"].deserialize(bytes);
  assert.equal(status.code, error.code);
  assert.equal(status.message, error.details);
  const details = {};
  for (const { type_url, value } of status.details) {
    const name = type_url.replace("type.googleapis.com/", "");
    details[name] = types[name].deserialize(value);
  }
  return {
    code: error.code,
    bytes: bytes.length,
    info: details["google.rpc.ErrorInfo"],
    violations: details["google.rpc.BadRequest"]?.fieldViolations,
    faults: details["ozeq.v1.Faults"].faults,
    omitted: details["ozeq.v1.Faults"].omitted,
  };
}

const { schemas } = JSON.parse(readFileSync(openapi, "utf8")).components;
const example = schemas.CreditRequest.examples[0];
const grainsOf = (record) => record.credits.find((c) => c.component === "COMPONENT_GRAINS");

// The same recipe, and the same answer, as of the HTTP client.
const record = await call(credit, "credit", example);
const grains = grainsOf(record);
assert.equal(Number(grains.credited), Math.floor((((36 + 24) * 28.35) / 16 / 48) * 4) / 4);
assert.equal(grains.unit, "oz eq");
console.log(`${record.name}: grains ${grains.credited} ${grains.unit}, of which ${grains.claimable} claimable`);

// One mistake, with all that a user needs to mend it.
const bad = structuredClone(example);
bad.recipe.ingredients[0].food = "sorghum-flour-hole";
const one = await refusal(call(credit, "credit", bad));
assert.equal(one.code, grpc.status.INVALID_ARGUMENT);
assert.deepEqual([one.info.reason, one.info.domain], ["UNKNOWN_FOOD", "ozeq"]);
assert.equal(one.faults.length, 1);
const [fault] = one.faults;
assert.deepEqual([fault.reason, fault.path], ["UNKNOWN_FOOD", "recipe.ingredients[0].food"]);
assert(fault.fix.includes("sorghum-flour-whole"), fault.fix);
assert.equal(one.violations[0].field, fault.path);
console.log(`${fault.reason} at ${fault.path}: ${fault.fix}`);

// So many mistakes, or so long ones, that not all of it fits the headers it
// travels in: as many faults as fit come, and how many more there are.
const long = "\u{1F33E}".repeat(5000);
for (const [what, total, spoil] of [
  ["150 unknown foods", 150, (r) => (r.recipe.ingredients = Array.from({ length: 150 }, (_, i) => ({ food: `no-such-food-${i}`, quantity: "1 lb" })))],
  ["150 long names", 150, (r) => (r.recipe.ingredients = Array.from({ length: 150 }, (_, i) => ({ food: `${i}${long.slice(0, 100)}`, quantity: "1 lb" })))],
  ["an option of 20,000 bytes", 1, (r) => (r.options = { [long]: long })],
  ["150 options of 100 bytes", 150, (r) => (r.options = Object.fromEntries(Array.from({ length: 150 }, (_, i) => [`${i}${long.slice(0, 50)}`, long])))],
  ["a date of 20,000 bytes", 1, (r) => (r.serviceDate = long)],
]) {
  const request = structuredClone(example);
  spoil(request);
  const { code, faults, omitted, violations, bytes } = await refusal(call(credit, "credit", request));
  assert.equal(code, grpc.status.INVALID_ARGUMENT);
  assert.equal(violations.length, faults.length);
  assert(faults.length > 0 && faults.length + omitted === total, `${what}: ${faults.length} faults and ${omitted} more`);
  console.log(`${what}: ${faults.length} faults and ${omitted} more in ${bytes} bytes`);
}

// Walk the pages of foods.
const ids = [];
for (let pageToken = "", pages = 1; ; pages++) {
  const page = await call(reference, "listFoods", { pageSize: 50, pageToken });
  ids.push(...page.foods.map((f) => f.id));
  pageToken = page.nextPageToken;
  if (!pageToken) {
    assert.equal(ids.length, page.totalSize);
    assert(pages > 2);
    console.log(`${ids.length} foods on ${pages} pages`);
    break;
  }
  assert.equal(page.foods.length, 50);
}
assert.equal(new Set(ids).size, ids.length);
assert(ids.includes("raisins"));

// Check the record as it was filed, and after somebody changed it.
const verified = await call(credit, "verifyRecord", { record, request: example });
assert.deepEqual(
  [verified.follows, verified.problem, verified.compared, verified.stillHolds, verified.differences],
  [true, "", true, true, []],
);
const changed = structuredClone(record);
grainsOf(changed).credited = "2.25";
const tampered = await call(credit, "verifyRecord", { record: changed });
assert.equal(tampered.follows, false);
assert(tampered.problem.includes("9/4"), tampered.problem);
console.log(`the record follows; changed, it does not: ${tampered.problem}`);

// The same menu, and the same answer, as of the HTTP client; and what is wrong with
// another, all at once.
const menu = schemas.ReviewRequest.examples[0];
const review = await call(menus, "review", menu);
assert.deepEqual(
  review.checks.filter((c) => c.verdict !== "met").map((c) => c.rule),
  ["week/days-least"],
);
const wrong = structuredClone(menu);
wrong.menu.ageGroup = "k5";
wrong.menu.lines[0].days.push({ date: "2026-09-14", choices: [] });
const several = await refusal(call(menus, "review", wrong));
assert.deepEqual(
  several.faults.map((f) => f.path).sort(),
  ["menu.ageGroup", "menu.lines[0].days[1].choices", "menu.lines[0].days[1].date"],
);
assert.equal(several.info.reason, "INVALID_REQUEST");
console.log(`a menu: ${review.checks.length} checks, ${review.verdict}; another: ${several.faults.length} things to mend`);

// Fifty requests over one stream, all sent before any answer is read; every
// seventh has a mistake, and each has a batch of its own size.
const stream = credit.streamCredit({ deadline: Date.now() + 10000 });
const sent = Array.from({ length: 50 }, (_, i) => {
  const request = structuredClone(i % 7 === 6 ? bad : example);
  request.recipe.servings += i;
  return { id: `recipe ${i}`, request };
});
for (const message of sent) stream.write(message);
stream.end();
const answers = [];
for await (const answer of stream) answers.push(answer);
assert.deepEqual(
  answers.map((a) => a.id),
  sent.map((s) => s.id),
);
answers.forEach((a, i) => {
  if (i % 7 === 6) {
    assert.equal(a.record, null);
    assert.equal(a.faults.faults[0].reason, "UNKNOWN_FOOD");
  } else {
    assert.equal(a.faults, null);
    assert.equal(a.record.servings, 48 + i);
  }
});
console.log(`${answers.length} answers of a stream, in order`);

credit.close();
menus.close();
reference.close();
