"use strict";
/* The check's arithmetic for changed portions and day counts: a small twin of menu.py, coverage.py,
   salt.py, sodium.py, supply.py and balance.py; `formulas` are those of nutricheck/rules/. Unknown is NaN here as it is there, and never zero.
   `drawnEnds`: the ends of what grams bring, by the check's draws; `atHome`: items that are not for
   the person for what these grams bring. */
const twin = (data, drawnEnds, atHome) => {
  const none = Object.fromEntries(["low", "likely", "high"].map((end) => [end, data.tags.map(() => 0)]));
  for (const item of data.items) {
    item.added ??= none;
    item.drawn ??= none.likely;
    item.inactive ??= { low: {}, likely: {}, high: {} };
  }
  const blank = { low: NaN, likely: NaN, high: NaN, upper: NaN, upper_kind: "", times_by_food: 0,
    basis: "", kind: "", left_to: "", cites: "" };
  data.targets = data.targets.map((day) => day.map((own) => {
    const ends = "likely" in own ? { low: own.likely, high: own.likely } : {};
    const target = { ...blank, ...ends, ...own };
    return { enough: [target.low, target.likely, target.high], ...target };
  }));
  const TRIPS = ["longest", "shortest"];
  const ENDS = ["low", "likely", "high"];
  const place = new Map(data.tags.map((tag, t) => [tag, t]));
  const sum = (values) => values.reduce((total, value) => total + value, 0);
  const sumKnown = (values) => sum(values.filter((value) => !Number.isNaN(value)));

  // ---- menu.py

  /* What is spread over the trip follows its days, unless it was changed by hand. */
  const onTrip = (portions, counts) => portions.map((grams, p) => {
    const { days, grams: planned, over_days: over } = data.portions[p];
    const own = over ? sum(days.map((d) => counts[d])) : 0;
    return own && grams === planned ? (grams * over) / own : grams;
  });

  /* Grams of each item on each day type; `portions` are grams a day, in the order of the plan. */
  const gramsByDay = (portions) => {
    const grams = data.days.map(() => data.items.map(() => 0));
    data.portions.forEach((portion, p) => {
      for (const d of portion.days) grams[d][portion.item] += portions[p];
    });
    return grams;
  };

  const may = data.items.map((item) => item.may ?? item.eaten);
  const edible = (packed) => packed.map((g, i) => (data.items[i].eaten ? g : 0));
  const amountOf = (grams, t) => formulas.intake({
    weights: grams, values: data.items.map((item) => item.per100g[t]), all: sum(grams) });
  const plannedGrams = gramsByDay(data.portions.map((portion) => portion.grams));
  const endShares = (grams, t) =>
    drawnEnds(grams, data.tags[t])?.map((end) => end / amountOf(grams, t)).filter(Number.isFinite);
  const plannedShares = {};

  /* low / likely and high / likely: as checked, times what the draws give of those as planned. */
  const spreadOf = (name, grams, d, t) => {
    const checked = [data.spread[`${name}low`][d][t], data.spread[`${name}high`][d][t]];
    const now = endShares(grams, t);
    if (!now?.length) return checked;
    const of = name ? plannedGrams[d] : edible(plannedGrams[d]);
    const before = plannedShares[[name, d, t]] ??= endShares(of, t);
    const [low, high] = before.length
      ? checked.map((share, end) => (share * now[end]) / before[end]) : now;
    return [Math.min(low, 1), Math.max(high, 1)];
  };

  /* What cannot be eaten counts against upper levels alone. */
  const intakeOfDay = (packed, d) => {
    const grams = edible(packed);
    const isAllEaten = data.items.every((item) => item.eaten);
    const held = (value, own = packed) => weighed(own, data.items.map(value));
    return data.tags.map((tag, t) => {
      const likely = amountOf(grams, t);
      const counted = amountOf(packed, t);
      const [low, high] = spreadOf("", grams, d, t);
      const [ofPackedLow, ofPackedHigh] =
        isAllEaten ? [low, high] : spreadOf("packed_", packed, d, t);
      const row = {
        likely,
        low: likely * low,
        high: likely * high,
        packed_likely: counted,
        packed_low: counted * ofPackedLow,
        packed_high: counted * ofPackedHigh,
        accounted_share: formulas.known_share({
          known: held((item) => item.accounted[t], grams), all: sum(grams) }),
        drawn: held((item) => item.drawn[t], grams) / 100,
      };
      for (const end of ENDS) {
        row[`added_${end}`] = held((item) => item.added[end][t]) / 100;
        row[`inactive_${end}`] = held((item) => item.inactive[end][tag] ?? 0) / 100;
        row[`supplemental_${end}`] =
          held((item) => (item.supplement ? item.added[end][t] : 0)) / 100;
      }
      return row;
    });
  };

  // ---- coverage.py

  const meanRows = (rows, counts, rule) =>
    data.tags.map((tag, t) =>
      Object.fromEntries(
        Object.keys(rows[0][t]).map((key) => [
          key,
          typeof rows[0][t][key] === "number"
            ? rule({ weights: counts, values: rows.map((row) => row[t][key]), all: sum(counts) })
            : rows.map((row) => row[t][key]).find((word) => word) ?? "",
        ]),
      ),
    );

  const needOf = (target) => ({ need_low: target.low, need: target.likely, need_high: target.high });
  const ratioOf = ({ low, likely, high }, target) => {
    const v = { low, likely, high, ...needOf(target) };
    v.ratio = formulas.ratio(v);
    return { ratio: v.ratio, ratio_low: formulas.ratio_low(v), ratio_high: formulas.ratio_high(v) };
  };

  /* One end of the intake's range on the basis that the upper level counts. */
  const onBasis = (basis, tag, row, rows, end) => {
    if (!basis) return NaN;
    return formulas[basis]({
      packed: row[`packed_${end}`],
      inactive: row[`inactive_${end}`],
      supplemental: row[`supplemental_${end}`],
      added: row[`added_${end}`],
      is_folic_acid: tag === "FOLAC",
      retinol: rows[place.get("RETOL")][`packed_${end}`],
    });
  };

  const saltWordOf = (row, { salt_low, salt_high, salt_danger }) => formulas.salt_word({
    likely: row.likely, known_share: row.accounted_share, known_enough: data.rules.known_enough,
    salt_low, salt_high, salt_danger,
  });

  // ---- needs/sodium.py

  const salt = data.salt;
  const SODIUM = place.get("NA");
  const sweatSodium = (heatDay) => formulas.sweat_sodium({ ...salt, heat_day: heatDay });
  const saltBand = (taken, { ai, cdrr }, lowShare) => {
    const size = Math.min(1, salt.mass / salt.sodium_reference_mass);
    const v = { ...salt, taken, ai, cdrr, size, low_share: lowShare };
    const aim = v.aim = formulas.line_aim(v);
    const high = v.line_high = formulas.line_high(v);
    const low = formulas.line_low(v);
    const danger = formulas.line_danger(v);
    return { low, aim, high, danger };
  };

  /* Lines of sodium on each kind of day; with other days the heat days are evenly mixed. */
  const saltLines = (counts) => {
    const isPlanned = data.days.every((day, d) => counts[d] === day.longest);
    const total = sum(salt.days.map((day, d) => (day.is_hot ? counts[d] : 0)));
    const mixed = Array.from({ length: Math.max(total, 1) }, (_, i) => i + 1);
    return salt.days.map((day) => {
      if (Array.isArray(day.set)) {
        const [low, aim, high, danger] = day.set;
        return { low, aim, high, danger, every: low, first: low, taken: NaN,
          last: { high, danger }, heatDays: [], sweat: NaN };
      }
      const heatDays = isPlanned && day.heat_days.length ? day.heat_days : mixed;
      const days = salt.is_used_to_heat ? [salt.sweat_sodium_days] : heatDays;
      const takenOn = (list) => (salt.sodium_molar_mass * day.litres[1] * salt.ratio
        * sum(list.map(sweatSodium))) / list.length;
      const first = takenOn([Math.min(...days)]);
      const taken = takenOn(days);
      const isAsked = day.asks || (salt.is_pregnant && salt.minimum + first > day.ai + 1e-6);
      const none = { low: NaN, aim: NaN, high: NaN, danger: NaN, every: NaN, first: NaN };
      if (isAsked) return { ...none, last: none, heatDays, taken: NaN, sweat: taken };
      return {
        ...saltBand(taken, day, salt.sodium_low_share),
        every: saltBand(taken, day, salt.sodium_low_share_trip).low,
        first: saltBand(first, day, salt.sodium_low_share).low,
        last: saltBand(takenOn([Math.max(...days)]), day, salt.sodium_low_share),
        heatDays,
        taken,
        sweat: taken,
      };
    });
  };

  /* Whether a kind of day falls on a heat day from one on and before another. */
  const fallsOn = (d, from, before, counts) => {
    const isPlanned = data.days.every((day, p) => counts[p] === day.longest);
    const total = sum(salt.days.map((day, p) => (day.is_hot ? counts[p] : 0)));
    const mixed = Array.from({ length: Math.max(total, 1) }, (_, i) => i + 1);
    const own = isPlanned ? salt.days[d].heat_days : mixed;
    return own.some((day) => day >= from && day < before);
  };

  /* Grams of salt to add to a litre and to the food, by heat day; advice/drink_plan.py. */
  const saltPlan = (d, grams, eaten, counts) => {
    const { days, mixes } = data.drink;
    const { litres, hours, stages } = days[d];
    const mix = sum(mixes.map((i) => (grams[d][i] * (data.items[i].per100g[SODIUM] || 0)) / 100));
    return stages.map(([heatDay, aim, line_low], s) => {
      const next = s + 1 < stages.length ? stages[s + 1][0] : Infinity;
      const v = { ...data.drink, litres, hours, aim, line_low, eaten, mix };
      v.per_litre = formulas.sodium_per_litre(v);
      return {
        litre: v.per_litre / v.per_salt,
        food: formulas.salt_of_food(v),
        isMet: !Number.isNaN(eaten) && fallsOn(d, heatDay, next, counts),
      };
    });
  };

  const withSaltLines = (targets, lines) => targets.map((day, d) => day.map((target, t) => {
    if (t !== SODIUM) return target;
    const { low, aim, high, danger, every, first } = lines[d];
    return {
      ...target, low: aim, likely: aim, high: aim, enough: [every, every, every],
      salt_low: low, salt_high: high, salt_danger: danger, salt_every_day: every, salt_first: first,
    };
  }));

  /* The mean's lines: none where a kind of day has none; low is that of every day. */
  const withMeanSalt = (mean, targets, counts) => {
    const isAsked = targets.some((day, d) => counts[d] > 0 && Number.isNaN(day[SODIUM].salt_low));
    const own = mean[SODIUM];
    const low = isAsked ? NaN : own.salt_every_day;
    const aim = isAsked ? NaN : own.likely;
    mean[SODIUM] = { ...own, salt_low: low, salt_first: NaN, low: aim, likely: aim, high: aim };
    return mean;
  };

  const statusOf = (row) => {
    if (formulas.is_too_much(row)) return "too much";
    if (row.left_to) return row.left_to; // a condition of the person takes the figure away
    if (Number.isNaN(row.reference)) return "";
    if (Number.isNaN(row.likely)) return "not known";
    return "not known"; // until the draws have their say
  };

  /* The kind of an upper level: one that ordinary food alone passes, or may, is told apart. */
  const kindOf = (row, target) => {
    const v = { ...row, is_added: row.added_likely + row.supplemental_likely > 0,
      times_by_food: target.times_by_food };
    return formulas.is_by_food(v) ? data.rules.food_level : target.upper_kind;
  };

  const compared = (intake, targets) =>
    intake.map((own, t) => {
      const target = targets[t];
      const counted = (end) => onBasis(target.basis, data.tags[t], own, intake, end);
      const row = {
        ...own,
        is_borrowed: data.borrowed.includes(data.tags[t]),
        reference: target.likely,
        ...ratioOf(own, target),
        upper: target.upper,
        left_to: target.left_to,
        upper_likely: counted("likely"),
        upper_high: counted("high"),
      };
      row.upper_kind = kindOf(row, target);
      row.is_level = row.upper_kind === "UL" || row.upper_kind === "clinic";
      row.is_safe_level = row.upper_kind === "safe level";
      row.added = row.added_likely || 0;
      const isSodium = data.tags[t] === "NA";
      return { ...row, status: isSodium ? saltWordOf(row, target) : statusOf(row) };
    });

  const energyShares = (intake) => {
    const factors = Object.entries(data.rules.atwater);
    const kcal = Object.fromEntries(
      factors.map(([tag, factor]) => [tag, intake[place.get(tag)].likely * factor]));
    const total = sumKnown(Object.values(kcal));
    return Object.entries(data.rules.energy_range).map(([tag, [low, high]]) => {
      const share = (kcal[tag] / total) * 100;
      return { tag, share, low, high, status: formulas.share_word({ share, low, high }) };
    });
  };

  // ---- adequacy/walking.py

  const walkingOf = (intake) => data.walking.map((own) => {
    const eaten = intake[own.day][place.get(own.tag ?? "ENERC_KCAL")];
    const [low, likely, high] = ENDS.map((end) =>
      formulas.per_kilogram({ ...own, eaten: eaten[end] }));
    const word = own.asked ?? formulas.place_word({ ...own, likely });
    return { amount: eaten.likely, low, likely, high, word };
  });

  // ---- supply.py

  /* What a gram of each item gives; what cannot be eaten gives nothing. */
  const perGramOf = (t) =>
    data.items.map((item) => (item.eaten ? item.per100g[t] / 100 : 0));

  /* Share of each kind of day on each day of a trip: the plan's order, or evenly mixed. */
  const sharesOf = (trip, counts) => {
    const length = sum(counts);
    const isPlanned = data.days.every((day, d) => counts[d] === day[trip]);
    if (isPlanned && data.order[trip]) {
      return data.order[trip].map((kind) => counts.map((_, d) => (d === kind ? 1 : 0)));
    }
    return Array.from({ length }, () => counts.map((n) => n / length));
  };

  /* What is packed once drinks on the way took their parts, and when it is picked up where the legs
     are the plan's; intake/fermented.py, stock/legs.py. */
  const packOf = (grams, counts) => {
    if (!data.packed) return { masses: data.items.map((item) => item.mass), arrivals: null };
    const isPlanned = data.days.every((day, d) => counts[d] === day.longest);
    const lengths = data.legs.length && isPlanned ? data.legs : [sum(counts)];
    const days = sharesOf("longest", counts);
    const starts = lengths.map((_, leg) => sum(lengths.slice(0, leg)));
    const entries = data.packed.map(([item, leg, g]) => ({ item, leg: lengths[leg] ? leg : 0, g }));
    const drinks = [];
    for (const { item, parts } of data.ferments) {
      const batch = sum(parts.map(([, g]) => g));
      lengths.forEach((length, leg) => {
        const own = days.slice(starts[leg], starts[leg] + length);
        const wanted = sum(own.map((kinds) => sum(kinds.map((s, d) => s * grams[d][item])))) / batch;
        const there = (part) => entries.filter((one) => one.item === part && one.leg <= leg)
          .sort((one, other) => other.leg - one.leg);
        const taken = Math.min(wanted, ...parts.filter(([, g]) => g > 0)
          .map(([part, g]) => sum(there(part).map((one) => one.g)) / g));
        for (const [part, g] of parts) {
          let left = taken * g;
          for (const one of there(part)) {
            const own_g = Math.min(left, one.g);
            one.g -= own_g;
            left -= own_g;
          }
        }
        drinks.push({ item, leg, g: taken * batch });
      });
    }
    const all = [...entries, ...drinks];
    return {
      masses: data.items.map((_, i) => sum(all.filter((one) => one.item === i).map((one) => one.g))),
      arrivals: data.legs.length && isPlanned
        ? all.map((one) => [starts[one.leg], one.item, one.g]) : null,
    };
  };

  const fallsBelow = (masses, before, wanted, perGram, targets) => {
    for (let day = 0; day < wanted.length; day += 1) {
      const eaten = data.items.map((item, i) =>
        Math.min(Math.max(masses[i] - before[day][i], 0), wanted[day][i]));
      const given = sumKnown(eaten.map((g, i) => g * perGram[i]));
      if (given < targets[day] * (1 - 1e-9)) return day + 1;
    }
    return NaN;
  };

  const supplyOf = (grams, counts, targets, trip, masses) => {
    const length = sum(counts);
    const shares = sharesOf(trip, counts);
    const wanted = shares.map((own) => data.items.map((item, i) =>
      sum(own.map((share, d) => share * grams[d][i]))));
    /* What was eaten of each item before a day, and before the day after the last. */
    const before = [data.items.map(() => 0)];
    for (const own of wanted) before.push(own.map((g, i) => before[before.length - 1][i] + g));
    const use = data.items.map((item, i) =>
      length && !item.found ? sum(grams.map((day, d) => day[i] * counts[d])) / length : 0);
    const items = data.items.map((item, i) => {
      const day = wanted.findIndex((own, d) => before[d + 1][i] > masses[i] + 1e-9 * own[i]);
      const v = { packed: masses[i], used: use[i], days: length, whole_days: day,
        before: before[day]?.[i], after: before[day + 1][i] };
      // a half is a half, as in stock/supply.py
      const lasts = Math.round(formulas.lasts(v) * 1e9) / 1e9;
      return { used: use[i], lasts, left: formulas.left(v), missing: formulas.missing(v) };
    });
    const pack = before.map((own) =>
      sum(masses.map((mass, i) => Math.max(mass - own[i], 0))));
    const enough = data.rules.followed.map((tag) => {
      const t = place.get(tag);
      const perGram = perGramOf(t);
      const known = masses.map((mass, i) => mass * perGram[i])
        .filter((amount) => !Number.isNaN(amount));
      const total = known.length ? sum(known) : NaN;
      const mean = (end) => {
        const used = counts.map((count, d) =>
          count > 0 ? targets[d][t].enough[ENDS.indexOf(end)] * count : 0);
        return sum(used) / length;
      };
      return {
        tag,
        per_day: total / length,
        target: mean("likely"),
        days: total / mean("likely"),
        days_low: total / mean("high"),
        days_high: total / mean("low"),
        falls_below: fallsBelow(masses, before, wanted, perGram, shares.map((own) => sum(
          own.map((share, d) => (share > 0 ? share * targets[d][t].enough[1] : 0))))),
      };
    });
    return { length, items, enough, pack, shares, wanted };
  };

  // ---- needs/balance.py; what is no longer in the pack is not eaten

  const balanceOf = (intake, targets, counts, stores) => {
    const t = place.get("ENERC_KCAL");
    const perGram = perGramOf(t);
    const planned = sumKnown(stores.items.map((item, i) => item.used * perGram[i]));
    const lacking = sumKnown(stores.items.map((item, i) => item.missing * perGram[i]));
    const eaten = formulas.eaten_share({ planned, lacking, days: stores.length });
    const days = data.days.map((day, d) => {
      const own = intake[d][t];
      const need = targets[d][t];
      const likely = own.likely * eaten - need.likely;
      const { low, high } = own;
      const v = { low, likely: own.likely, high, ...needOf(need), eaten_share: eaten };
      const ends = {
        likely, low: likely - formulas.balance_below(v), high: likely + formulas.balance_above(v),
      };
      return { intake: own.likely * eaten, need: need.likely, ...ends };
    });
    const total = (end) =>
      sum(days.map((day, d) => (counts[d] > 0 ? day[end] * counts[d] : 0)));
    return {
      days,
      per_day: ENDS.map((end) => total(end) / stores.length),
      spent_per_day: total("need") / stores.length,
      mass_change: massChange(total("low"), total("likely"), total("high")),
    };
  };

  const massChange = (low, likely, high) => {
    const [kcal_per_kg_lean, kcal_per_kg, kcal_per_kg_fat] = data.rules.kcal_per_kg;
    const v = { low, likely, high, kcal_per_kg_lean, kcal_per_kg, kcal_per_kg_fat };
    return [formulas.mass_change_low(v), formulas.mass_change(v), formulas.mass_change_high(v)];
  };

  // ---- all of it

  /* `portions`: grams a day of each portion; `counts`: { longest: [day, …], shortest: [day, …] }.
     `days` holds one list of rows per day type, then the mean of the longest trip. */
  return (portions, counts) => {
    const grams = gramsByDay(onTrip(portions, counts.longest));
    const left = atHome(grams, counts);
    data.items.forEach((item, i) => { item.eaten = may[i] && !left.has(i); });
    const eaten = grams.map(intakeOfDay);
    const isSpread = data.portions.some((portion) => portion.over_days);
    const shorter = isSpread ? gramsByDay(onTrip(portions, counts.shortest)) : grams;
    const gramsOf = { longest: grams, shortest: shorter };
    const eatenOf = { longest: eaten, shortest: isSpread ? shorter.map(intakeOfDay) : eaten };
    const intake = [...eaten, meanRows(eaten, counts.longest, formulas.mean_at_least)];
    const lines = saltLines(counts.longest);
    const own = withSaltLines(data.targets, lines);
    const meanTargets = meanRows(own, counts.longest, formulas.mean_of_known);
    const mean = withMeanSalt(meanTargets, own, counts.longest);
    const targets = [...own, mean];
    const packed = packOf(grams, counts.longest);
    const stores = Object.fromEntries(
      TRIPS.map((trip) => [trip, supplyOf(gramsOf[trip], counts[trip], own, trip, packed.masses)]));
    return {
      grams,
      eaten: eatenOf,
      /* What counts against an upper level of this basis. */
      counted: (basis, d, t, trip) =>
        onBasis(basis, data.tags[t], eatenOf[trip][d][t], eatenOf[trip][d], "likely"),
      /* Sodium's lines of the worst heat day, that day, and what the sweat takes. */
      sodium: (d, what) => {
        const { first, last, heatDays, sweat } = lines[d];
        return { "first low": first, "last high": last.high, "last danger": last.danger,
          "first day": Math.min(...heatDays), "last day": Math.max(...heatDays), sweat }[what];
      },
      masses: packed.masses,
      arrivals: packed.arrivals,
      targets: own,
      /* The low line of a kind of day where its sweat takes so much times the likely amount. */
      saltLow: (d, isEveryDay, factor) => {
        const { taken, low } = lines[d];
        if (Number.isNaN(taken)) return low;
        const share = isEveryDay ? salt.sodium_low_share_trip : salt.sodium_low_share;
        return saltBand(taken * factor, salt.days[d], share).low;
      },
      days: intake.map((rows, d) => compared(rows, targets[d])),
      shares: intake.map(energyShares),
      walking: walkingOf(intake),
      supply: stores,
      salt_plan: data.drink.days.map((own, d) =>
        (own ? saltPlan(d, grams, eaten[d][SODIUM].likely, counts.longest) : [])),
      balance: Object.fromEntries(
        TRIPS.map((trip) => [trip, balanceOf(eatenOf[trip], targets, counts[trip], stores[trip])])),
      soak: grams.map((day) => sum(day.map((g, i) =>
        (data.items[i].eaten ? (g * data.items[i].soak) / 100 : 0))) / 1000),
    };
  };
};
