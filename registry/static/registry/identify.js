// Which variant is it? The twin of registry/methods/identify, for pages that must answer without a network.
// Both are checked over tests/vectors/identify.json. No page, no network, no clock: values in, values out.
//
// table:        {variants: [key], traits: [{key, states, needs, effort, numbers, tolerances}], cells: [[state or -1]]}
// observations: see registry/methods/identify/plain.py; at most one per trait
// options:      {prior, not_listed, confusion, accuracy, novelty, at_hand, keep, enough_bits}, each may be left out

const LEAST = 1e-9, NEARLY = 1e-9, CLEARLY = 1e-9, SPEAKS_AT = 0.2, LIKELY = 0.5;
const NEEDS = ["pack", "loose", "raking_light", "magnifier", "base_visible"];
const PLAIN = {not_listed: 0.05, confusion: {}, accuracy: 0.95, novelty: 0.08, at_hand: NEEDS, keep: 10, enough_bits: 0.01};

const sum = (numbers) => numbers.reduce((total, each) => total + each, 0);
const highestOf = (numbers) => numbers.reduce((most, each) => Math.max(most, each), -Infinity);
const entropy = (chances) => -sum(chances.map((p) => (p > 0 ? p * Math.log2(p) : 0)));

export function identify(table, observations = [], options = {}) {
  const model = expectations(table, {...PLAIN, ...options});
  const {learnt, answered} = evidence(model, observations);
  const {scores, unlisted} = score(model, learnt);
  const {posterior, notListed} = normalised(scores, unlisted);
  const checks = checksByWorth(model, posterior, notListed, answered);
  const have = new Set(model.at_hand);
  const allowed = checks.filter((check) => check.needs.every((need) => have.has(need)));
  const likeliest = Math.max(notListed, highestOf(posterior));
  return {
    candidates: bestFirst(scores, model.keep).map((row) => ({
      variant: table.variants[row], posterior: posterior[row], grounds: grounds(table, learnt, row),
    })),
    not_listed: notListed,
    fitting: table.cells.filter((row) => fits(row, learnt)).length,
    learnt: [...learnt.keys()].map((number) => table.traits[number].key),
    checks: allowed.map(({trait, bits}) => ({trait, bits})),
    advice: advise(model, scores, unlisted, likeliest, checks, allowed, have),
  };
}

// What each variant leads one to see.

function expectations(table, options) {
  const variants = table.variants.length;
  const weights = options.prior ?? table.variants.map(() => 1);
  const total = sum(weights);
  return {
    ...options, table,
    flat: !options.prior,
    prior: weights.map((weight) => weight / total),
    not_listed: variants ? options.not_listed : 1,
    seeing: table.traits.map((trait) => seeing(options.confusion[trait.key] ?? confusion(trait.states.length, options.accuracy))),
  };
}

function confusion(states, accuracy) {
  const row = Array(states).fill((1 - accuracy) / states);
  return row.map((_, state) => row.with(state, accuracy));
}

// Rows the true state and last "some other"; columns what is seen and last "none of these".
function seeing(matrix) {
  const states = matrix.length;
  const accuracy = sum(matrix.map((row, state) => row[state])) / states;
  const rows = matrix.map((row) => [...row, Math.max(1 - sum(row), 0)]);
  return [...rows, [...Array(states).fill((1 - accuracy) / states), accuracy]];
}

function masses(model, trait, weights) {
  const {states} = model.table.traits[trait];
  const byState = Array(states.length + 1).fill(0); // the first is "not known"
  model.table.cells.forEach((row, number) => { byState[row[trait] + 1] += weights ? weights[number] : 1; });
  return byState;
}

function found(model, trait) {
  const weights = model.flat ? null : model.prior.map((p) => p * model.table.variants.length);
  const counts = masses(model, trait, weights).slice(1);
  const all = sum(counts);
  return counts.map((count) => (count + 1 / counts.length) / (all + 1));
}

// From likelihoods by state, and last some other, to those by row: each state, not listed, not known.
function byRow(model, trait, likely) {
  const shares = found(model, trait);
  const unknown = sum(shares.map((share, state) => share * likely[state]));
  const unlisted = (1 - model.novelty) * unknown + model.novelty * likely.at(-1);
  return [...likely.slice(0, -1), unlisted, unknown].map((p) => Math.max(p, LEAST));
}

function answers(model, trait) {
  const matrix = model.seeing[trait];
  const columns = matrix.map((_, seen) => byRow(model, trait, matrix.map((row) => row[seen])));
  return columns[0].map((_, row) => columns.map((column) => column[row]));
}

const likelihoodOf = (rows, cell) => (cell < 0 ? rows.at(-1) : rows[cell]);

// What was seen.

function evidence(model, observations) {
  const learnt = new Map(), answered = new Set();
  for (const observation of observations) {
    const number = model.table.traits.findIndex((trait) => trait.key === observation.trait);
    if (number < 0) throw new RangeError(`“${observation.trait}” is no trait of this table`);
    if (answered.has(number)) throw new RangeError(`${observation.trait} was answered twice: keep one of the answers`);
    answered.add(number);
    const likely = likelihoods(observation, model.table.traits[number], model.seeing[number]);
    if (!likely) continue;
    const most = Math.max(...likely) || 1;
    learnt.set(number, byRow(model, number, likely.map((p) => p / most)));
  }
  return {learnt, answered};
}

function likelihoods(observation, trait, matrix) {
  const column = (seen) => matrix.map((row) => row[seen]);
  const indexOf = (state) => {
    const index = trait.states.indexOf(state);
    if (index < 0) throw new RangeError(`“${state}” is no state of ${trait.key}`);
    return index;
  };
  if (observation.not_visible || observation.not_sure?.length === 0) return null;
  if (observation.none_of_these) return column(matrix.length - 1);
  if ("seen" in observation) return column(indexOf(observation.seen));
  if ("not_sure" in observation) {
    const states = observation.not_sure.map(indexOf);
    const weights = observation.weights?.length ? observation.weights : states.map(() => 1);
    const total = sum(weights);
    return matrix.map((row) => sum(states.map((state, n) => (weights[n] / total) * row[state])));
  }
  if ("value" in observation) return measured(observation, trait);
  Object.keys(observation.likelihoods).forEach(indexOf);
  return [...trait.states.map((state) => observation.likelihoods[state] ?? 0), observation.other ?? 0];
}

function measured({value, error}, trait) {
  const numbers = trait.numbers.filter((number) => number !== null);
  if (!numbers.length) throw new RangeError(`no state of ${trait.key} has a number`);
  const spreads = trait.states.map((_, state) => Math.sqrt(error * error + (trait.tolerances[state] ?? 0) ** 2 / 3));
  const anywhere = 1 / (Math.max(...numbers) - Math.min(...numbers) + 6 * Math.max(...spreads));
  const density = (distance, spread) => Math.exp(-0.5 * (distance / spread) ** 2) / (spread * Math.sqrt(2 * Math.PI));
  const likely = trait.numbers.map((number, n) => (number === null ? anywhere : density(value - number, spreads[n])));
  return [...likely, anywhere];
}

// The answer.

function score(model, learnt) {
  const scores = model.prior.map((p) => Math.log(p * (1 - model.not_listed)));
  let unlisted = Math.log(model.not_listed);
  for (const [number, rows] of learnt) {
    const logs = rows.map(Math.log);
    model.table.cells.forEach((row, v) => { scores[v] += likelihoodOf(logs, row[number]); });
    unlisted += logs.at(-2);
  }
  return {scores, unlisted};
}

function normalised(scores, unlisted) {
  const highest = Math.max(unlisted, highestOf(scores));
  const weights = scores.map((each) => Math.exp(each - highest));
  const beside = Math.exp(unlisted - highest);
  const total = sum(weights) + beside;
  return {posterior: weights.map((weight) => weight / total), notListed: beside / total};
}

function bestFirst(scores, keep) {
  const rounded = scores.map((each) => Math.round(each / NEARLY));
  const rows = scores.map((_, row) => row);
  return rows.sort((a, b) => (rounded[a] === rounded[b] ? a - b : rounded[b] - rounded[a])).slice(0, keep);
}

function grounds(table, learnt, row) {
  return [...learnt].map(([number, rows]) => {
    const trait = table.traits[number], cell = table.cells[row][number];
    const bits = Math.log2(likelihoodOf(rows, cell) / rows.at(-2));
    const speaks = Math.abs(bits) < SPEAKS_AT ? "neither" : bits > 0 ? "for" : "against";
    return {trait: trait.key, state: trait.states[cell] ?? "", bits, speaks};
  });
}

const fits = (row, learnt) =>
  [...learnt].every(([number, rows]) => Math.log2(likelihoodOf(rows, row[number]) / rows.at(-2)) > -SPEAKS_AT);

// What to look at next.

function checksByWorth(model, posterior, notListed, answered) {
  const checks = [];
  model.table.traits.forEach((trait, number) => {
    if (answered.has(number)) return;
    const bits = gain(model, number, posterior, notListed);
    checks.push({trait: trait.key, number, bits, needs: trait.needs, worth: Math.round((bits / trait.effort) * 1e9)});
  });
  return checks.sort((a, b) => b.worth - a.worth || a.number - b.number);
}

function gain(model, trait, posterior, notListed) {
  const rows = answers(model, trait);
  const [unknown, ...states] = masses(model, trait, posterior);
  const weighed = [...states, notListed, unknown];
  const total = rows[0].map((_, seen) => sum(rows.map((row, n) => weighed[n] * row[seen])));
  return Math.max(entropy(total) - sum(rows.map((row, n) => weighed[n] * entropy(row))), 0);
}

function advise(model, scores, unlisted, likeliest, checks, allowed, have) {
  const enough = (check) => check.bits >= model.enough_bits;
  const later = checks.find((check) => !allowed.includes(check) && enough(check));
  const missing = later ? NEEDS.filter((need) => later.needs.includes(need) && !have.has(need)) : [];
  const next = allowed.find(enough);
  const tell = (reason) => ({
    next: reason === "go_on" ? next.trait : "", reason, later: later?.trait ?? "", missing,
  });
  if (!allowed.length) return tell("nothing_left");
  if (!next) return tell("little_to_gain");
  const open = likeliest < LIKELY || allowed.some((check) => mayChange(model, check.number, scores, unlisted));
  return tell(open ? "go_on" : "settled");
}

function mayChange(model, trait, scores, unlisted) {
  const logs = answers(model, trait).map((row) => row.map(Math.log));
  const highest = Math.max(unlisted, highestOf(scores));
  const leader = scores.indexOf(highest);
  const best = logs.map(() => -Infinity);
  best[best.length - 2] = unlisted;
  const rowOf = (variant) => (model.table.cells[variant][trait] + logs.length) % logs.length; // -1 is the last row
  scores.forEach((each, variant) => { best[rowOf(variant)] = Math.max(best[rowOf(variant)], each); });
  const leads = logs[leader < 0 ? logs.length - 2 : rowOf(leader)];
  return leads.some((log, seen) => Math.max(...logs.map((row, n) => best[n] + row[seen])) > highest + log + CLEARLY);
}
