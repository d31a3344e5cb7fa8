/* Which cautions hold for what stands in the page now: the check's limits (nutricheck/caution_limits.py),
   decided by its rules, said and grouped as facts/caution.py does. `write`: an amount in words. */
const cautionsOf = (data, write) => {
  const LEVELS = ["danger", "warning", "note"];
  const { says, texts, figures: compared, words: spoken, entries, inedible } = data.cautions;
  const sum = (values) => values.reduce((total, value) => total + value, 0);

  const isWalked = (counts, d, trip) =>
    trip ? counts[trip][d] > 0 : counts.longest[d] > 0 || counts.shortest[d] > 0;

  /* Of a kind of day, or the most of all that are walked. */
  const most = (day, counts, of, trip) => {
    if (day !== undefined) return of(day);
    const found = data.days.map((_, d) => d).filter((d) => isWalked(counts, d, trip)).map(of)
      .filter(Number.isFinite);
    return found.length ? Math.max(...found) : NaN;
  };
  const eatenOf = (column, onTrip) => ({ day, tag, trip }, { result, counts }) =>
    most(day, counts, (d) => result.eaten[trip][d][tag][column], onTrip);
  const foodWater = ({ day }, { result }) =>
    result.soak[day] + (result.eaten.longest[day][data.tags.indexOf("WATER")].likely || 0) / 1000;
  const quantities = {
    grams: ({ day, weights }, { result, counts }) =>
      most(day, counts, (d) => sum((weights ?? []).map(([i, perGram]) => result.grams[d][i] * perGram))),
    likely: eatenOf("packed_likely"),
    "likely on the longest": eatenOf("packed_likely", "longest"),
    added: eatenOf("added_likely"),
    eaten: eatenOf("likely"),
    known: eatenOf("accounted_share"),
    counted: ({ day, tag, trip, basis }, { result }) => result.counted(basis, day, tag, trip),
    ratio: ({ tag }, { result }) => result.days[data.days.length][tag].ratio,
    sodium: ({ day, what }, { result }) => result.sodium(day, what),
    deficit: ({ what }, { result }) => {
      const { per_day: [, likely], spent_per_day: spent, mass_change: kg } = result.balance.longest;
      const { length } = result.supply.longest;
      const lost = (-100 * kg[1]) / data.salt.mass;
      return { lacking: (-100 * likely) / spent, lost, weekly: (lost / length) * 7, kg: -kg[1],
        kg_least: -kg[2], kg_most: -kg[0], length }[what];
    },
    "food water": foodWater,
    "beside food": (figure, at) => -foodWater(figure, at),
    soaking: ({ day }, { result }) => result.soak[day],
    carried: ({ item }, { result }) => {
      const { length, items } = result.supply.longest;
      return Math.min(Number.isNaN(items[item].lasts) ? length : items[item].lasts, length);
    },
    length: (_, { result }) => result.supply.longest.length,
  };

  const valueOf = (figure, day, at) => typeof figure === "number" ? figure
    : (figure.times ?? 1) * quantities[figure.kind]({ trip: "longest", day, ...figure }, at)
      + (figure.plus ?? 0);

  const piece = (part, figures, isChanged) => {
    if (typeof part === "string") return part;
    if (typeof part === "number") return texts[part];
    if (part.planned !== undefined) return part.planned + (isChanged ? " (as planned)" : "");
    const [name, decimals = 0, unit = "", per = 1, wholeFrom = NaN, least = -Infinity] = part;
    const value = Math.max(figures[name] / per, least);
    const text = write(value, value >= wholeFrom ? 0 : decimals);
    if (unit === "days") return text === "1" ? "1 day" : `${text} days`;
    return text + unit;
  };
  /* A limit decided, at its place; null where it does not hold. */
  const decided = (entry, at, isChanged) => {
    const say = says[entry.say];
    const { day, trip } = entry;
    if (day !== undefined && !isWalked(at.counts, day, trip)) return null;
    const figures = Object.fromEntries(
      Object.entries(compared[entry.figures]).map(([name, figure]) => [name, valueOf(figure, day, at)]));
    const rank = cautionRules[say.rule](figures);
    if (!rank) return null;
    const where = entry.where ?? data.days[day].name;
    const told = Object.fromEntries(
      Object.entries(spoken[entry.words] ?? {}).map(([name, own]) => [name, (Array.isArray(own) ? own : [own]).map((part) => piece(part, figures, isChanged)).join("")]));
    const filled = (text) => text.replace(/\{(\w+)\}/g, (_, name) => told[name]);
    const detail = [told.detail ?? filled(say.detail ?? ""), entry.assumed].filter((text) => text)
      .join("; ");
    const text = filled(say.text);
    return {
      ...say,
      level: rank > 1 ? say.raised ?? say.level : say.level,
      key: [entry.say, rank > 1, text, told.short].join("|"),
      text,
      is_person: where === "person",
      where,
      shown: where + (detail && ` (${detail})`),
    };
  };

  /* All that hold, each once with its places, the most serious first. */
  const found = (result, counts, isChanged) => {
    const groups = new Map();
    entries.forEach((entry, place) => {
      if (entry.say === undefined) {
        groups.set(place, { places: [], ...entry, place, isFixed: true });
        return;
      }
      const own = decided(entry, { result, counts }, isChanged);
      if (!own) return;
      const group = groups.get(own.key) ?? { ...own, place, places: [], shown: [] };
      if (!group.places.includes(own.where)) group.places.push(own.where);
      if (!group.shown.includes(own.shown)) group.shown.push(own.shown);
      groups.set(own.key, group);
    });
    return [...groups.values()].sort((a, b) => a.level - b.level || b.weight - a.weight
      || b.harm - a.harm || a.place - b.place).map((own) => ({
      ...own,
      level: LEVELS[own.level],
      line: own.isFixed ? "" : `${own.shown.join("; ")}: ${own.text}`,
    }));
  };

  /* What of the pack and its days forbids the plan, by topic; advice/answer.py. */
  const dangers = (cautions) => [...new Set(cautions.filter((own) => own.level === "danger"
    && own.counts && !own.is_person
    && !(own.places.length && own.places.every((name) => inedible.includes(name.toLowerCase()))))
    .map((own) => own.topic))];

  /* Items that stay at home for what these grams bring; cautions/left_at_home.py. */
  const atHome = (grams, counts) => {
    const at = { result: { grams, ...amountsOf(grams) }, counts };
    return new Set(entries.filter((entry) => entry.leaves && decided(entry, at, false))
      .flatMap((entry) => entry.leaves));
  };

  /* What labels add by these grams, as far as an item is left at home for it. */
  const amountsOf = (grams) => {
    const rows = grams.map((own) => data.tags.map((_, t) => ({
      added_likely: sum(own.map((g, i) => (g * (data.items[i].added.likely[t] || 0)) / 100)),
    })));
    return { eaten: { longest: rows } };
  };

  return { found, dangers, atHome };
};
