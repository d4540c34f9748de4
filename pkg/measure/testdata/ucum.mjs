// Asks the reference library of the Unified Code for Units of Measure, from
// tools/npm/node_modules, what it makes of unit codes. Reads
// {"codes": [...], "pairs": [[from, to], ...]} on standard input and writes
// {"codes": [status, ...], "pairs": [{"status", "value", "message"}, ...]} in the same order.
import { createRequire } from 'node:module';
import { readFileSync } from 'node:fs';

const require = createRequire(new URL('../../../tools/npm/package.json', import.meta.url));
const ucum = require('@lhncbc/ucum-lhc').UcumLhcUtils.getInstance();

const asked = JSON.parse(readFileSync(0, 'utf8'));
const codes = asked.codes.map((code) => ucum.validateUnitString(code, false).status);
const pairs = asked.pairs.map(([from, to]) => {
  const r = ucum.convertUnitTo(from, 1, to);
  return { status: r.status, value: r.toVal, message: r.msg.join('; ') };
});
process.stdout.write(JSON.stringify({ codes, pairs }));
