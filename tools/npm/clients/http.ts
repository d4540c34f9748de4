// A client of the HTTP door, of types generated from the service's own
// /openapi.json: it credits a recipe, shows what is wrong with another, walks
// the foods, checks a record, and reviews menus and a tray. Every answer is also held against the document.
//
// usage: node out/http.js http://HOST:PORT

import assert from "node:assert/strict";
import { Ajv2020, type AnySchemaObject } from "ajv/dist/2020.js";
import createClient, { type Middleware } from "openapi-fetch";
import type { components, paths } from "./out/openapi.js";

type Problem = components["schemas"]["Problem"];

interface Operation {
  operationId: string;
  responses: Record<string, unknown>;
}
interface Document {
  paths: Record<string, Record<string, Operation>>;
  components: { schemas: Record<string, AnySchemaObject> };
}

const baseUrl = process.argv[2];
assert(baseUrl, "usage: node out/http.js http://HOST:PORT");
const document = (await (await fetch(`${baseUrl}/openapi.json`)).json()) as Document;
type Schemas = components["schemas"];
const exampleOf = <N extends keyof Schemas & string>(name: N) => document.components.schemas[name]?.["examples"][0] as Schemas[N];
const example = exampleOf("CreditRequest");

// A field that the document does not have is a mistake in it, so no schema
// takes more than its own.
for (const schema of Object.values(document.components.schemas)) {
  if (schema["properties"]) schema["additionalProperties"] = false;
}
const ajv = new Ajv2020({ strict: false, allErrors: true });
ajv.addFormat("int32", { type: "number", validate: (n: number) => Number.isInteger(n) && Math.abs(n) <= 2 ** 31 });
ajv.addSchema(document, "document");

const called = new Set<string>();
const asDocumented: Middleware = {
  async onResponse({ request, response, schemaPath }) {
    const method = request.method.toLowerCase();
    const operation = document.paths[schemaPath]?.[method];
    assert(operation, `the document has no ${method} ${schemaPath}`);
    called.add(operation.operationId);
    const status = String(response.status) in operation.responses ? response.status : "default";
    const pointer = ["paths", schemaPath, method, "responses", status, "content", "application/json", "schema"]
      .map((key) => encodeURIComponent(String(key).replaceAll("~", "~0").replaceAll("/", "~1")))
      .join("/");
    const valid = ajv.validate({ $ref: `document#/${pointer}` }, await response.clone().json());
    assert(valid, `${operation.operationId}, ${response.status}: ${ajv.errorsText(ajv.errors, { separator: "\n" })}`);
    return undefined;
  },
};
const client = createClient<paths>({ baseUrl });
client.use(asDocumented);

// Credit the example of the document. Its flour and oats are 36 and 24 oz for
// 48 squares, at 16 g of grain an oz eq, rounded down to a quarter.
const { data: record, error } = await client.POST("/v1/recipes:credit", { body: example });
assert(record, JSON.stringify(error));
const grains = record.credits.find((c) => c.component === "COMPONENT_GRAINS");
assert(grains);
assert.equal(Number(grains.credited), Math.floor((((36 + 24) * 28.35) / 16 / 48) * 4) / 4);
assert.equal(grains.unit, "oz eq");
console.log(`${record.name}: grains ${grains.credited} ${grains.unit}, of which ${grains.claimable} claimable`);

// Show a cook what is wrong with a recipe.
const bad = structuredClone(example);
bad.recipe!.ingredients[0]!.food = "sorghum-flour-hole";
bad.recipe!.ingredients[1]!.quantity = "a few oz";
const refused = await client.POST("/v1/recipes:credit", { body: bad });
assert(refused.error);
assert.equal(refused.response.status, 400);
const problem: Problem = refused.error;
for (const fault of problem.faults) {
  assert(fault.fix, fault.path);
  console.log(`${fault.reason} at ${fault.path}: ${fault.fix}`);
}
assert.deepEqual(
  problem.faults.map((f) => f.path).sort(),
  ["recipe.ingredients[0].food", "recipe.ingredients[1].quantity"],
);
const unknown = problem.faults.find((f) => f.reason === "UNKNOWN_FOOD");
assert(unknown?.fix.includes("sorghum-flour-whole"), unknown?.fix);
assert.equal(problem.requestId, refused.response.headers.get("x-request-id"));

// With many mistakes, the first hundred come whole and the rest are counted.
const many = structuredClone(example);
many.recipe!.ingredients = Array.from({ length: 150 }, (_, i) => ({ food: `no-such-food-${i}`, quantity: "1 lb" }));
const hundred = (await client.POST("/v1/recipes:credit", { body: many })).error;
assert.deepEqual([hundred?.faults.length, hundred?.omitted], [100, 50]);
console.log(hundred?.message);

// Walk the pages of foods.
const ids: string[] = [];
let pages = 0;
for (let pageToken = ""; ; pages++) {
  const { data: page } = await client.GET("/v1/foods", { params: { query: { pageSize: 50, pageToken } } });
  assert(page);
  ids.push(...page.foods.map((f) => f.id));
  pageToken = page.nextPageToken;
  if (!pageToken) {
    pages++;
    assert.equal(ids.length, page.totalSize);
    break;
  }
  assert.equal(page.foods.length, 50);
}
assert.equal(new Set(ids).size, ids.length);
assert(pages > 2 && ids.includes("raisins"));
console.log(`${ids.length} foods on ${pages} pages`);

// Check the record as it was filed, and after somebody changed it.
const verified = await client.POST("/v1/records:verify", { body: { record, request: example } });
assert.deepEqual(verified.data, {
  follows: true,
  problem: "",
  compared: true,
  stillHolds: true,
  differences: [],
});
const changed = structuredClone(record);
changed.credits.find((c) => c.component === "COMPONENT_GRAINS")!.credited = "2.25";
const tampered = await client.POST("/v1/records:verify", { body: { record: changed } });
assert.equal(tampered.data?.follows, false);
assert(tampered.data.problem.includes("9/4"), tampered.data.problem);
console.log(`the record follows; changed, it does not: ${tampered.data.problem}`);

// A batch keeps its order, and one bad recipe does not stop the others.
const batch = await client.POST("/v1/recipes:batchCredit", { body: { requests: [example, bad, example] } });
assert.deepEqual(
  batch.data?.answers.map((a) => [a.index, a.record?.credits.length ?? 0, a.faults?.faults.length ?? 0]),
  [
    [0, record.credits.length, 0],
    [1, 0, 2],
    [2, record.credits.length, 0],
  ],
);

// A bought product, by the weight of its portion.
const { serviceDate, program } = example;
const product = await client.POST("/v1/products:credit", {
  body: { serviceDate, program, product: { name: "Wheat roll", weight: "57 g", exhibitAGroup: "B" } },
});
assert.equal(product.data?.credits[0]?.credited, "2");

// Review the menu of the document: what a child may take decides, so with one fruit
// in place of two, half a cup is missing.
const menu = exampleOf("ReviewRequest");
const { data: review } = await client.POST("/v1/menus:review", { body: menu });
assert(review);
assert.deepEqual(
  review.checks.filter((c) => c.verdict !== "met").map((c) => c.rule),
  ["week/days-least"],
);
const less = structuredClone(menu);
Object.assign(less.menu!.lines[0]!.days[0]!.choices[1]!, { take: 1, same: "" });
const missing = (await client.POST("/v1/menus:review", { body: less })).data;
const fruits = missing?.checks.find((c) => c.rule === "least/fruits");
assert(missing?.verdict === "not-met" && fruits?.short === "1/2" && fruits.mend && fruits.citation);
console.log(`${fruits.date}: ${fruits.short} ${fruits.unit} short. ${fruits.mend}`);

// The pattern it was held to, with the value that the check names.
const { data: pattern } = await client.GET("/v1/patterns", {
  params: { query: { serviceDate: fruits.date, program: menu.menu.program, ageGroup: menu.menu.ageGroup } },
});
assert.equal(pattern?.totalSize, 1);
assert.equal(pattern.patterns[0]?.id, missing.patterns[0]?.id);
const asks = pattern.patterns[0]?.values.find((v) => v.id === fruits.value);
assert.deepEqual([asks?.amount, asks?.mark, asks?.citation], [fruits.needed, fruits.mark, fruits.citation]);

// Everything wrong with a menu at once, and in a batch without stopping the others.
const wrong = structuredClone(menu);
wrong.menu.ageGroup = "k5";
wrong.menu.lines[0]!.days.push({ date: "2026-09-14", choices: [] });
const told = (await client.POST("/v1/menus:review", { body: wrong })).error;
assert.deepEqual(
  told?.faults.map((f) => f.path).sort(),
  ["menu.ageGroup", "menu.lines[0].days[1].choices", "menu.lines[0].days[1].date"],
);
const several = await client.POST("/v1/menus:batchReview", { body: { requests: [menu, wrong, less] } });
assert.deepEqual(
  several.data?.answers.map((a) => a.review?.verdict ?? a.faults?.faults.length),
  [review.verdict, 3, "not-met"],
);

// The same under coming rules, and a meal as it was served.
const ahead = await client.POST("/v1/menus:lookAhead", { body: exampleOf("LookAheadRequest") });
const next = ahead.data?.coming[0];
assert(next?.verdict === "not-met");
assert(next.differences.some((d) => d.is?.rule === "nutrient/sodium" && d.kind === "newly-not-met" && d.items.length > 0));
console.log(`from ${next.on}: ${next.changes.map((c) => `${c.title} ${c.was} -> ${c.is}`).join("; ")}`);
const served = await client.POST("/v1/productionRecords:review", { body: exampleOf("ProductionRequest") });
assert.deepEqual(
  served.data?.checks.filter((c) => c.verdict === "not-met").map((c) => [c.rule, c.item, c.short]),
  [["production/adds-up", "Carrot sticks", "10"]],
);

// A day of care, and a tray.
const day = await client.POST("/v1/menus:reviewDay", { body: exampleOf("ReviewDayRequest") });
assert.deepEqual(
  day.data?.checks.map((c) => [c.rule, c.verdict]),
  [
    ["whole-grain-rich/servings-a-day", "met"],
    ["juice/occasions-a-day", "met"],
  ],
);
const tray = await client.POST("/v1/trays:check", { body: exampleOf("TrayRequest") });
assert.equal(tray.data?.verdict, "met");

// The other look-ups; an option of the State agency goes in the query.
const programs = await client.GET("/v1/programs");
assert(programs.data?.programs.some((p) => p.id === program));
const rules = await client.GET("/v1/rules", {
  params: { query: { program, serviceDate, options: { "exhibit-a-fractions": "division" } } },
});
assert.equal(rules.data?.options.find((o) => o.id === "exhibit-a-fractions")?.chosen, "division");
const food = await client.GET("/v1/foods/{food}", { params: { path: { food: "raisins" } } });
assert(food.data?.figures.every((f) => f.citation && f.mark));
const nothing = await client.GET("/v1/foods/{food}", { params: { path: { food: "raisin-ettes" } } });
assert.equal(nothing.response.status, 404);
assert.equal(nothing.error?.status, "NOT_FOUND");
const measures = await client.GET("/v1/measures");
assert(measures.data?.measures.some((m) => m.id === "lb"));

// The kitchen's questions, each with the example of the document.
const scaled = await client.POST("/v1/recipes:scale", { body: exampleOf("ScaleRequest") });
assert(scaled.data?.recipe && scaled.data.record);
assert.equal(scaled.data.factor, "25/8");
// What comes out may be credited as it stands.
const again = await client.POST("/v1/recipes:credit", { body: { recipe: scaled.data.recipe, serviceDate, program } });
assert.deepEqual(again.data?.credits, scaled.data.record.credits);

const target = await client.POST("/v1/recipes:target", { body: exampleOf("TargetRequest") });
assert(target.data?.reached && target.data.record);
assert(Number(target.data.record.credits.find((c) => c.component === "COMPONENT_GRAINS")?.credited) >= 2.5);
console.log(`grains of 2.5 oz eq: ${target.data.ways.map((w) => `${w.way} ${w.reached ? w.change : "no"}`).join(", ")}`);

const comparison = await client.POST("/v1/recipes:compare", { body: exampleOf("CompareRequest") });
const rice = comparison.data?.credits.find((c) => c.component === "COMPONENT_GRAINS");
assert(rice && rice.before?.credited === rice.after?.credited, JSON.stringify(comparison.error));
assert.equal(comparison.data?.wholeGrainAfter, "1");

const cautions = await client.POST("/v1/recipes:cautions", { body: exampleOf("CautionRequest") });
assert.deepEqual(
  cautions.data?.allergens.map((a) => a.id),
  ["milk"],
);
assert(cautions.data?.notice.includes("read every label"));
const menuCautions = await client.POST("/v1/menus:cautions", { body: exampleOf("CautionMenuRequest") });
assert.equal(menuCautions.data?.cautions?.oats[0]?.item, "Oatmeal");

const purchase = await client.POST("/v1/purchases:plan", { body: exampleOf("PurchaseRequest") });
assert.equal(purchase.data?.lines.find((l) => l.of === "raisins")?.buy, "2 lb 8 oz");

// A recipe from text: what is open is answered, and the text sent again.
const text = exampleOf("ReadRecipeRequest");
const reading = await client.POST("/v1/recipes:read", { body: text });
assert(reading.data && !reading.data.complete);
const answers = reading.data.open.map((o) => ({ line: o.line, leaveOut: true }));
const whole = await client.POST("/v1/recipes:read", { body: { ...text, answers } });
assert(whole.data?.complete && whole.data.recipe?.ingredients.length === 2);
const unread = await client.POST("/v1/recipes:read", { body: {} });
assert.deepEqual(
  unread.error?.faults.map((f) => f.path),
  ["text"],
);

const size = await client.POST("/v1/portions:size", { body: exampleOf("SizePortionRequest") });
assert.equal(size.data?.weight?.exact, "2 4/5 oz");
const shortfall = await client.POST("/v1/portions:shortfall", { body: exampleOf("ShortfallRequest") });
assert.equal(shortfall.data?.credited, "0.5");
const tools = await client.GET("/v1/servingTools");
assert(tools.data?.scoops.every((t) => t.holds && t.citation));

const operations = Object.values(document.paths).flatMap((p) => Object.values(p).map((o) => o.operationId));
assert.deepEqual([...called].sort(), operations.sort(), "every operation is called");
console.log(`every answer of ${called.size} operations is as the document says`);
