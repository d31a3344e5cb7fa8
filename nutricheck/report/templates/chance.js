/* The chance that each component is enough, by the check's own draws: a twin of adequacy/chance.py.
   Of grams of each item a day it gives the chances of every kind of day and of the trip's mean, in
   the order of `data.chance.tags`, and the ends of the range of what they bring. */
const chances = (data) => {
  const own = data.chance;
  const bytes = (text) => Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
  const steps = new Uint16Array(bytes(own.draws).buffer);
  const z = Object.fromEntries(
    Object.entries(own.z).map(([cause, text]) => [cause, new Float64Array(bytes(text).buffer)]));
  const STEPS = 65535;

  const isAim = (aim) => aim !== null && typeof aim === "object";

  /* What a gram of each item brings: item, tag → draws; null where it is unknown. */
  let at = 0;
  const perGram = own.items.map((item) => item.map((ends) => {
    if (!Array.isArray(ends)) return null;
    const [least, most] = ends;
    const drawn = new Float64Array(own.count).fill(least);
    if (most > least) {
      for (let k = 0; k < own.count; k += 1) drawn[k] += ((most - least) * steps[at + k]) / STEPS;
      at += own.count;
    }
    return drawn;
  }));

  /* What grams of each item bring in each draw; null where nothing is known. Words and ranges ask
     for the same: the last answers are kept. */
  const kept = new Map();
  const brought = (grams, t) => {
    const asked = `${t}: ${grams}`;
    if (kept.size > 1000) kept.clear();
    if (!kept.has(asked)) kept.set(asked, broughtNow(grams, t));
    return kept.get(asked);
  };
  const broughtNow = (grams, t) => {
    const total = new Float64Array(own.count);
    let isKnown = grams.every((g) => g === 0);
    grams.forEach((g, i) => {
      const drawn = perGram[i][t];
      if (!g || drawn === null) return;
      isKnown = true;
      for (let k = 0; k < own.count; k += 1) total[k] += g * drawn[k];
    });
    return isKnown ? total : null;
  };

  // what cannot be eaten as packed does not count toward enough
  const eaten = (grams, t) => brought(grams.map((g, i) => (data.items[i].eaten ? g : 0)), t);

  /* 5th and 95th percentile of what grams of each item bring, as ranges.py; null without draws. */
  const ends = (grams, tag) => {
    const t = own.tags.indexOf(tag);
    const drawn = t < 0 || own.count === 1 ? null : brought(grams, t)?.slice().sort();
    return drawn && [0.05, 0.95].map((share) => {
      const at = share * (own.count - 1);
      const below = Math.floor(at);
      return drawn[below] + (at - below) * (drawn[below + 1] - drawn[below]);
    });
  };

  const meanDraws = (draws, weights) => {
    const total = new Float64Array(own.count);
    let isKnown = false;
    draws.forEach((day, d) => {
      if (!weights[d] || day === null) return;
      isKnown = true;
      for (let k = 0; k < own.count; k += 1) total[k] += weights[d] * day[k];
    });
    return isKnown ? total : null;
  };

  // ---- distributions

  /* Share of a standard normal distribution below x; Abramowitz and Stegun 26.2.17, to 7.5e-8. */
  const normalShare = (x) => {
    const t = 1 / (1 + 0.2316419 * Math.abs(x));
    const tail = 0.3989422804014327 * Math.exp((-x * x) / 2) * t * (0.319381530 + t *
      (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
    return x > 0 ? 1 - tail : tail;
  };

  const lognormalShare = (amount, median, upper, upperZ) =>
    amount > 0 ? normalShare((Math.log(amount / median) * upperZ) / Math.log(upper / median)) : 0;

  const percentileShare = (amount) => {
    const [percentiles, amounts] = own.percentiles;
    if (amount < amounts[0]) return 0;
    if (amount > amounts.at(-1)) return 1;
    const next = Math.max(1, amounts.findIndex((value) => value >= amount));
    const part = (amount - amounts[next - 1]) / (amounts[next] - amounts[next - 1]);
    return (percentiles[next - 1] + part * (percentiles[next] - percentiles[next - 1])) / 100;
  };

  const requirementShare = (aim, amount) => {
    if (aim.shape === "percentiles") return percentileShare(amount);
    if (aim.shape === "log-normal, 95 %") return lognormalShare(amount, aim.median, aim.upper, own.z95);
    if (aim.shape === "log-normal, 97.5 %") {
      return lognormalShare(amount, aim.median, aim.upper, own.z975);
    }
    const sd = (aim.upper - aim.median) / 2;
    return normalShare((amount - aim.median) / (sd > 0 ? sd : own.variation * aim.median));
  };

  /* A draw of a figure known as low, likely, high, at z of its cause. */
  const drawnAmount = (low, likely, high, x) =>
    formulas.drawn_amount({ low, likely, high, z: x, z95: own.z95 });

  const chanceOf = (aim, draws) => {
    if (draws === null) return NaN;
    let total = 0;
    for (let k = 0; k < own.count; k += 1) {
      const left = draws[k] - drawnAmount(...aim.lost, z.sweat[k]);
      if (aim.of === "requirement") total += requirementShare(aim, left);
      else {
        const wanted = drawnAmount(aim.low, aim.median, aim.high, z.energy[k]);
        total += left >= wanted * (1 - 1e-12) ? 1 : 0;
      }
    }
    return total / own.count;
  };

  const meanAim = (t, weights) => {
    const days = own.aims.map((aims) => aims[t]).map((aim, d) => [aim, weights[d]])
      .filter(([, weight]) => weight > 0);
    if (!days.length || days.some(([aim]) => !isAim(aim))) return null;
    const mean = (pick) => days.reduce((sum, [aim, weight]) => sum + weight * pick(aim), 0);
    return {
      ...days[0][0],
      low: mean((aim) => aim.low),
      median: mean((aim) => aim.median),
      high: mean((aim) => aim.high),
      upper: mean((aim) => aim.upper),
      lost: [0, 1, 2].map((end) => mean((aim) => aim.lost[end])),
    };
  };

  // ---- words

  const tenthsOf = (chance) => formulas.tenths({ chance });
  const wordOf = (chance, of) =>
    formulas.chance_word({ chance, is_advised: of === "advised amount" });

  const told = (aim, draws, knownShare, isBorrowed) => {
    if (!isAim(aim)) return null;
    let chance = chanceOf(aim, draws);
    const { known_enough } = own;
    if (formulas.is_unsure({ chance, known_share: knownShare, known_enough })) chance = NaN;
    if (isBorrowed) chance = Math.min(chance, own.most_borrowed);
    const tenths = Number.isNaN(chance) ? -1 : tenthsOf(chance);
    return { chance, tenths, of: aim.of, word: wordOf(chance, aim.of) };
  };

  /* Sodium: the share of draws that reach the low line; a twin of adequacy/salt.py. The word is
     the row's own. */
  const saltTold = (draws, weights, result) => {
    const { spread, days } = data.salt;
    const z95 = (k, cause) => z[cause][k] / own.z95;
    const lows = days.map(({ litres }, d) => (isEveryDay) => {
      const drawn = new Float64Array(own.count);
      for (let k = 0; k < own.count; k += 1) {
        const more = litres[1] > 0 ? drawnAmount(...litres, z.sweat[k]) / litres[1] : 1;
        drawn[k] = result.saltLow(d, isEveryDay, more * spread ** z95(k, "sodium in sweat"));
      }
      return drawn;
    });
    const toldOf = (amounts, low, d) => {
      const word = result.days[d][data.tags.indexOf("NA")].status;
      if (amounts === null || word === "not known" || word === "ask your doctor") {
        return { chance: NaN, tenths: -1, of: "the least sodium", word };
      }
      let total = 0;
      for (let k = 0; k < own.count; k += 1) total += amounts[k] >= low[k] * (1 - 1e-12) ? 1 : 0;
      const chance = total / own.count;
      return { chance, tenths: tenthsOf(chance), of: "the least sodium", word };
    };
    const told = draws.map((amounts, d) => toldOf(amounts, lows[d](false), d));
    const meanLow = meanDraws(lows.map((low, d) => (weights[d] ? low(true) : null)), weights);
    return [...told, toldOf(meanDraws(draws, weights), meanLow, draws.length)];
  };

  /* `grams`: day → item → grams; `counts`: days of each kind; `known(d, tag)`: share accounted for, the
     trip's mean last. */
  const toldBy = (grams, counts, known, result) => {
    const length = counts.reduce((total, count) => total + count, 0);
    const weights = counts.map((count) => count / length);
    const byDay = [...grams.map(() => ({})), {}];
    own.tags.forEach((tag, t) => {
      const draws = grams.map((day) => eaten(day, t));
      if (tag === "NA") {
        saltTold(draws, weights, result).forEach((own, d) => { byDay[d][tag] = own; });
        return;
      }
      draws.forEach((day, d) => {
        byDay[d][tag] = told(own.aims[d][t], day, known(d, tag), data.borrowed.includes(tag));
      });
      byDay[grams.length][tag] = told(
        meanAim(t, weights), meanDraws(draws, weights), known(grams.length, tag),
        data.borrowed.includes(tag),
      );
    });
    return byDay;
  };
  return { ends, toldBy };
};
