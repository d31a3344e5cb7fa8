/* Changing days and portions in the page: reads the controls, asks the twin, fills in the figures.
   Text goes in as text only, never as markup. */
(() => {
  const data = JSON.parse(document.getElementById("data").textContent, (key, value) =>
    value === null ? NaN : value);
  const TRIPS = ["longest", "shortest"];
  const MEAN = data.days.length; // the trip's mean stands after the kinds of day
  const chancesOf = data.chance?.tags && chances(data);
  const said = answers(data);
  const warned = cautionsOf(data, (value, decimals) => amount(value, decimals));
  const figures = twin(data, chancesOf ? chancesOf.ends : () => null, warned.atHome);
  const recalculate = (portions, counts) => {
    const found = withWords(figures(portions, counts), counts.longest);
    const isChanged = String(portions) !== String(planned.portions)
      || TRIPS.some((trip) => String(counts[trip]) !== String(planned[trip]));
    return { ...found, cautions: warned.found(found, counts, isChanged) };
  };
  const planned = {
    portions: data.portions.map((portion) => portion.grams),
    longest: data.days.map((day) => day.longest),
    shortest: data.days.map((day) => day.shortest),
  };
  const now = structuredClone(planned);

  const all = (selector, root = document) => [...root.querySelectorAll(selector)];
  const one = (selector, root = document) => root.querySelector(selector);
  const named = (root, name) => one(`[data-f="${name}"]`, root);
  const write = (root, words) => {
    for (const [name, text] of Object.entries(words)) {
      const element = named(root, name);
      if (element) element.textContent = text;
    }
  };

  // ---- numbers in words, as report/words.py and report/page_view.py write them

  const PERCENT = "\u00a0%";
  const formats = [0, 1, 2, 3].map((digits) => new Intl.NumberFormat("en-US", {
    minimumFractionDigits: digits, maximumFractionDigits: digits, roundingMode: "halfEven",
  }));
  const amount = (value, decimals) =>
    Number.isFinite(value) ? formats[decimals].format(value) : "–";
  const percent = (ratio) => {
    if (!Number.isFinite(ratio)) return "–";
    if (ratio > 0.99 && ratio < 1 - 1e-9) return "99" + PERCENT;
    return ratio < 9.995 ? amount(ratio * 100, 0) + PERCENT : `${amount(ratio, 0)}\u00a0×`;
  };
  const level = (value, decimals) => {
    const text = amount(value, decimals);
    return text.includes(".") ? text.replace(/\.?0+$/, "") : text;
  };
  const between = (low, high) => {
    if (low === high) return "";
    return `${high.endsWith(PERCENT) ? low.replace(PERCENT, "") : low}–${high}`;
  };
  const inBrackets = (text) => text && `(${text})`;
  const signed = (values, decimals) => {
    const [low, likely, high] = values.map((value) => {
      const text = amount(Math.abs(value), decimals);
      return /[1-9]/.test(text) ? (value > 0 ? "+" : "−") + text : text;
    });
    return `${likely} (${low} to ${high})`;
  };

  // ---- one component on one kind of day

  const BASES = {
    "supplements only": "supplements",
    "supplements and fortified food": "supplements and fortified food",
    "preformed retinol": "retinol",
  };

  // what is no level of safety (a CDRR, a safe level) is named as it is, and only noted
  const LEVELS = { UL: "upper level", clinic: "clinic's limit" };

  const setMark = (element, name) => {
    element.dataset.mark = name;
    for (const use of all(".mark use", element)) use.setAttribute("href", `#is-${name}`);
  };

  const signOf = (word) => (word ? data.marks[word] ?? "not-known" : "none");

  /* Words of the draws in place of those of the range: of the page and of a fresh check alike. */
  const withWords = (result, counts) => {
    if (!chancesOf || !counts.some((count) => count > 0)) return { ...result, told: null };
    const known = (d, tag) => result.days[d][data.tags.indexOf(tag)].accounted_share;
    const told = chancesOf.toldBy(result.grams, counts, known, result);
    const days = result.days.map((rows, d) => rows.map((row, t) => {
      if (data.tags[t] === "NA" || !told[d][data.tags[t]]) return row;
      return { ...row, status: said.standingOf(result, told, d, data.tags[t]).shown };
    }));
    return { ...result, days, told };
  };

  const isPartly = (row, share) => row.accounted_share < share && !Number.isNaN(row.likely);
  const isDrawn = (row) => row.drawn > (1 - data.rules.all_known) * row.likely;

  const noteOf = (row, d, target) => {
    const notes = [];
    if (isPartly(row, data.rules.known_enough)) {
      notes.push(`only ${percent(row.accounted_share)} known`);
    }
    const drawn = [];
    if (isDrawn(row)) drawn.push(`${percent(row.drawn / row.likely)} of it estimated from foods of its kind`);
    if (row.is_borrowed) drawn.push("taken from another country's foods");
    if (drawn.length) notes.push(drawn.join(", "));
    const isEarly = d < MEAN && row.accounted_share >= data.rules.known_enough
      && row.likely >= target.salt_low && row.likely < target.salt_first;
    if (isEarly) notes.push("too little on the first heat day");
    if (!(row.upper_kind in LEVELS)) {
      if (row.upper_likely > row.upper) notes.push(`above the ${row.upper_kind}`);
    } else if (row.upper_high > row.upper && row.upper >= row.upper_likely) {
      notes.push(`the top of the range passes the ${LEVELS[row.upper_kind]}`);
    }
    return notes.join("; ");
  };

  const upperOf = (row, basis, { unit, decimals }) => {
    if (Number.isNaN(row.upper)) return "";
    const kind = LEVELS[row.upper_kind] ?? row.upper_kind;
    const words = `${kind} ${level(row.upper, decimals)} ${unit}`;
    if (basis === "all sources") return words;
    return `${words} from ${BASES[basis] ?? basis}: here ${amount(row.upper_likely, decimals)}`;
  };

  /* A day's target; for the trip's mean that of its first day, a planning figure before others. */
  const targetOf = (d, t) => {
    if (d < MEAN) return result.targets[d][t];
    const counted = result.targets.filter((_, day) => now.longest[day] > 0).map((day) => day[t]);
    return counted.find((target) => target.kind === "planning") ?? counted[0] ?? result.targets[0][t];
  };

  const citesOf = (numbers) => numbers.split(" ").filter((number) => number).flatMap((number) => {
    const link = document.createElement("a");
    link.href = `#source-${number}`;
    link.textContent = number;
    link.setAttribute("aria-label", `source ${number}`);
    return [link, " "];
  });

  const fillRow = (element, d) => {
    const t = data.tags.indexOf(element.dataset.tag);
    const row = result.days[d][t];
    const component = data.components[element.dataset.tag];
    const target = targetOf(d, t);
    const eaten = (value) => amount(value, component.decimals);
    element.dataset.day = d;
    setMark(element, signOf(row.status));
    write(element, {
      ratio: percent(row.ratio),
      ratio_range: between(percent(row.ratio_low), percent(row.ratio_high)),
      amount: (isPartly(row, data.rules.all_known) ? "≥ " : isDrawn(row) ? "≈ " : "") + eaten(row.likely),
      range: inBrackets(between(eaten(row.low), eaten(row.high))),
      reference: level(row.reference, component.decimals),
      kind: target.kind,
      status: row.status,
      note: noteOf(row, d, target),
      upper: upperOf(row, target.basis, component),
    });
    const bar = one(".amount-bar", element);
    if (bar) drawAmount(bar, { ...row, aim: row.reference });
    one(".cite", element)?.replaceChildren(...citesOf(target.cites));
  };

  const checked = recalculate(planned.portions, planned);
  let result = checked;

  // ---- figures of tables that follow changes: report/parts.py:live has the words of their keys

  const withRange = (low, likely, high, decimals) => {
    const [least, shown, most] = [low, likely, high].map((value) => amount(value, decimals));
    return least === most ? shown : `${shown} (${least}–${most})`;
  };

  const energyWords = ({ intake, need, low, likely, high }) => ({
    intake: amount(intake, 0),
    need: amount(need, 0),
    share: percent(intake / need),
    balance: signed([low, likely, high], 0),
  });

  const tripEnergyWords = (trip) => {
    const { spent_per_day: need, per_day: [low, likely, high], mass_change } = result.balance[trip];
    return {
      ...energyWords({ intake: need + likely, need, low, likely, high }),
      name: `${trip} trip, mean of ${said.daysWords(result.supply[trip].length)}`,
      mass: signed(mass_change, 1),
    };
  };

  const walkWords = ({ tag }, own) => {
    const [low, likely, high] = [own.low, own.likely, own.high].map((value) =>
      amount(value, tag ? 1 : 0));
    const unit = tag ? "g" : "kcal";
    return { amount: `${amount(own.amount, 0)} ${unit}`, likely, range: `${low}–${high}`, word: own.word };
  };

  const enoughOf = (tag, trip) => result.supply[trip].enough.find((own) => own.tag === tag);

  const enoughWords = (own) => {
    const { decimals } = data.components[own.tag];
    const isNever = Number.isNaN(own.falls_below);
    return {
      packed: amount(own.per_day, decimals),
      aim: amount(own.target, decimals),
      days: withRange(own.days_low, own.days, own.days_high, 1),
      short: Number.isNaN(own.per_day) ? "–" : isNever ? "never" : `day ${own.falls_below}`,
    };
  };

  const packedWords = (trip) => {
    const grams = result.masses.reduce((total, mass) => total + mass, 0);
    return {
      grams: amount(grams / result.supply[trip].length, 0),
      energy: amount(enoughOf("ENERC_KCAL", trip).per_day, 0),
    };
  };

  const packWords = (trip, part) => {
    const { length, pack } = result.supply[trip];
    const day = Math.floor(length * Number(part) + 0.5);
    return `${amount((pack[day] + data.containers) / 1000, 1)}\u00a0kg, day\u00a0${day}`;
  };

  const drinkWords = (d) => {
    const moisture = result.days[d][data.tags.indexOf("WATER")].likely || 0;
    const food = result.soak[d] + moisture / 1000;
    return withRange(...data.days[d].water.map((litres) => litres - food), 1);
  };

  const saltWords = ({ litre, food, isMet }) => {
    if (!isMet) return "–";
    const parts = [[litre, "in each litre of drink"], [food, "on the day's food"]]
      .filter(([grams]) => grams >= data.drink.least_g)
      .map(([grams, where]) => `${amount(grams, 1)} g ${where}`);
    return parts.join(" and ") || "none";
  };

  const shareWords = ({ share, status }) =>
    `${percent(share / 100)}, ${status.replace(" the range", "")}`;

  /* What a key begins with → the words of its figure, by the rest of the key. */
  const FIGURES = {
    length: (trip) => result.supply[trip].length,
    count: (trip, d) => now[trip][d],
    energy: (of, name) => (TRIPS.includes(of) ? tripEnergyWords(of)
      : energyWords(result.balance.longest.days[of]))[name],
    share: (tag, day) => shareWords(result.shares[day].find((own) => own.tag === tag)),
    walk: (i, name) => walkWords(data.walking[i], result.walking[i])[name],
    packed: (trip, name) => packedWords(trip)[name],
    pack: packWords,
    enough: (tag, trip, name) => enoughWords(enoughOf(tag, trip))[name],
    soak: (d) => amount(result.soak[d], 1),
    drink: drinkWords,
    salt: (d, s) => saltWords(result.salt_plan[d][s]),
  };

  const fillFigures = () => {
    for (const element of all("[data-key]")) {
      const [what, ...at] = element.dataset.key.split(" ");
      element.textContent = FIGURES[what](...at);
      if (what === "walk") element.closest("tr").hidden = !isWalked(now, data.walking[at[0]].day);
    }
    for (const element of all("[data-planned]")) element.hidden = changes().length > 0;
    for (const element of all("[data-changed]")) element.hidden = changes().length === 0;
  };

  // ---- the line of days

  /* The end of the line of days: as it was, or later for a trip that would not fit on it. */
  const fitTimeline = (length) => {
    const chart = one(".timeline");
    const usual = Number(chart.dataset.end);
    const end = length > usual ? 1.5 * length : usual;
    const labels = all(".axis-line text", chart);
    const step = length > usual ? Math.ceil(end / labels.length) : Number(chart.dataset.step);
    labels.forEach((label, i) => {
      label.textContent = i === 0 ? "day 0" : i * step;
      label.setAttribute("x", `${(100 * i * step) / end}%`);
    });
    return end;
  };

  const fillItem = (element, end) => {
    const along = (days) => `${Math.min(100, (100 * days) / end)}%`;
    const { lasts, used } = result.supply.longest.items[element.dataset.item];
    const isUnused = Number.isNaN(lasts);
    write(element, {
      lasts: isUnused ? "not used" : `lasts ${amount(lasts, 1)} days`,
      used: amount(used, 1),
    });
    one(".lasts", element).setAttribute("width", isUnused ? "100%" : along(lasts));
    one(".end", element).setAttribute("href", isUnused || lasts > end ? "#to-right" : "#is-none");
    for (const trip of TRIPS) {
      const { length, items } = result.supply[trip];
      const own = items[element.dataset.item];
      const isShort = own.missing >= data.rules.least_missing_g;
      const gone = Math.floor(own.lasts + 1e-9) + 1;
      for (const x of ["x1", "x2"]) one(`line.${trip}`, element).setAttribute(x, along(length));
      setMark(named(element, trip), isShort ? "short" : "enough");
      one("span", named(element, trip)).textContent = isShort
        ? `gone on day ${gone} of ${length}: ${amount(Math.ceil(own.missing - 1e-6), 0)} g missing`
        : `${amount(own.left, 0)} g left after ${length} days`;
    }
  };

  const fillSupply = () => {
    const end = fitTimeline(Math.max(...TRIPS.map((trip) => result.supply[trip].length)));
    for (const element of all("[data-item]")) fillItem(element, end);
    const isPlanned = data.days.every((day, d) => TRIPS.every((trip) => now[trip][d] === day[trip]));
    one("[data-other-days]").hidden = isPlanned;
    one("[data-mixed]").hidden = isPlanned || Object.keys(data.order).length === 0;
  };

  // ---- what was changed and what follows from it

  const changes = () => {
    const days = TRIPS.flatMap((trip) => data.days.map((day, d) => [
      `${day.name}, ${trip} trip`, planned[trip][d], now[trip][d], 0, "days",
    ]));
    const portions = data.portions.map((portion, p) => [
      data.items[portion.item].name, planned.portions[p], now.portions[p], 1, "g a day",
    ]);
    return [...days, ...portions]
      .filter(([, before, after]) => before !== after)
      .map(([name, before, after, decimals, unit]) =>
        `${name}: ${level(before, decimals)} → ${level(after, decimals)} ${unit}`);
  };

  const effects = () => {
    const told = data.tags
      .map((tag, t) => [tag, checked.days[MEAN][t].status, result.days[MEAN][t].status])
      .filter(([, before, after]) => before !== after)
      .map(([tag, before, after]) => `${data.components[tag].name} ${after} (was ${before})`);
    return `As the mean of the longest trip: ${told.join("; ") || "every word stays"}.`;
  };

  const fillChanges = () => {
    const texts = changes();
    const isChanged = texts.length > 0;
    one("#changed").hidden = !isChanged;
    document.body.classList.toggle("is-changed", isChanged);
    for (const label of all(".as-planned")) label.hidden = !isChanged;
    one("#changes").replaceChildren(...texts.map((text) => {
      const item = document.createElement("li");
      const isolated = document.createElement("bdi");
      isolated.textContent = text;
      item.append(isolated);
      return item;
    }));
    one("#effects").textContent = effects();
    for (const button of all("[data-do=reset]")) button.disabled = !isChanged;
    tell(all("#glance tr").map((row) => row.textContent).join(", "));
  };

  /* For screen readers, once the hand rests. */
  let resting;
  const tell = (text) => {
    clearTimeout(resting);
    resting = setTimeout(() => { one("#said").textContent = text; }, 700);
  };

  /* A changed portion in spoons or pieces where the plan has it so. */
  const fillHints = () => {
    for (const hint of all("[data-hint]")) {
      const p = hint.dataset.hint;
      const { unit, unit_g: grams } = data.portions[p];
      hint.dataset.planned ??= hint.textContent;
      if (now.portions[p] === planned.portions[p]) hint.textContent = hint.dataset.planned;
      else if (grams > 0) hint.textContent = `about ${amount(now.portions[p] / grams, 1)} ${unit}`;
      else hint.textContent = `was ${hint.dataset.planned}`;
    }
  };

  // ---- the first screen

  const drawAmount = (svg, own) => {
    const isKnown = own.aim > 0 && Number.isFinite(own.likely);
    svg.classList.toggle("none", !isKnown);
    if (!isKnown || !one(".sure", svg)) return;
    const share = (value) => Math.min(100, (50 * value) / own.aim);
    const set = (part, names) => {
      for (const [name, value] of Object.entries(names)) {
        one(part, svg).setAttribute(name, `${value}%`);
      }
    };
    set(".sure", { width: share(own.low) });
    set(".may", { x: share(own.low), width: share(own.high) - share(own.low) });
    set(".best", { x1: share(own.likely), x2: share(own.likely) });
    const shown = (part, isShown) =>
      one(part, svg).setAttribute("visibility", isShown ? "visible" : "hidden");
    shown(".best", own.likely < 2 * own.aim);
    shown(".on", own.high > 2 * own.aim);
  };

  const fillStanding = (element, own) => {
    const mark = data.marks[own.shown] ?? "not-known";
    element.className = `nutrient ${mark}`;
    one(".mark use", element).setAttribute("href", `#is-${mark}`);
    write(element, {
      where: own.day === MEAN ? "whole trip" : data.days[own.day].name,
      word: own.shown,
      chance: own.shown === own.word && own.word !== said.WITHIN_LIMIT
        ? said.chanceWords(own.tenths) : "",
      percent: percent(own.ratio),
    });
    drawAmount(one(".amount-bar", element), own);
  };

  const FIVE = ["ENERC_KCAL", "NA", "MG", "K", "VITC"];

  const daysThatCount = () => {
    const walked = data.days.map((_, d) => d).filter((d) => now.longest[d] > 0);
    // what a day asks for that no body gets through is no aim
    const possible = walked.filter((d) => !data.days[d].beyond);
    return possible.length ? possible : walked;
  };

  const fillAnswer = () => {
    const { told } = result;
    if (!told) return;
    const days = daysThatCount();
    const least = (tag) => days.map((d) => said.standingOf(result, told, d, tag))
      .reduce((worst, own) => (said.before(own, worst) ? own : worst));
    const standings = all("[data-standing]").map((element) => {
      const tag = element.dataset.standing;
      const own = FIVE.includes(tag) && tag !== "ENERC_KCAL" ? least(tag)
        : said.standingOf(result, told, MEAN, tag);
      fillStanding(element, own);
      return own;
    });
    const headline = one("#h-answer");
    headline.dataset.planned ??= headline.textContent;
    const isChanged = changes().length > 0;
    headline.textContent = isChanged
      ? headlineOf(said.worstFirst(standings, FIVE)) : headline.dataset.planned;
    for (const action of all(".to-do")) action.hidden = isChanged;
  };

  const isWalked = (counts, d) => counts.longest[d] > 0 || counts.shortest[d] > 0;

  /* The sentence that answers, for a changed plan; report/answer_words.py. */
  const headlineOf = (standings) => {
    const beyond = data.days.find((day, d) => day.beyond && isWalked(now, d));
    if (beyond) return `No. ${beyond.name} is not possible: ${beyond.beyond.split("; ")[0]}.`;
    const trip = daysOfTrip();
    const { covered, gone } = trip;
    const length = result.supply.longest.length;
    const wrong = [...data.wrong];
    const dangers = warned.dangers(result.cautions);
    if (dangers.length) wrong.push(`Danger: ${said.listed(dangers)}.`);
    const salt = standings.find((own) => own.tag === "NA")?.word;
    if (salt === "far too much") wrong.push("Far too much sodium.");
    if (covered === 0) wrong.push(noFullDayWords(trip, length));
    else if (covered < length) {
      wrong.push(`The pack covers ${covered} of ${said.daysWords(length)}.${goneWords(gone)}`);
    }
    const tooMuch = standings.filter((own) => own.excess === "too much")
      .map((own) => said.nutrientName(own.tag));
    if (tooMuch.length) wrong.push(`Too much ${said.some(tooMuch)}.`);
    if (wrong.length) return `No. ${wrong.join(" ")}`;
    if (data.asked) return `Not before you have asked ${data.asked}`;
    const isLater = (own) => formulas.lack_shows_later({ share: own.likely / own.aim,
      weeks: data.weeks_until_lack[own.tag] ?? NaN, trip_weeks: length / 7 });
    const isAdvised = (own) => own.shown === "below the advised amount" && !FIVE.includes(own.tag);
    const lackOf = (words, isMild) => standings.filter((own) => words.includes(own.shown))
      .filter((own) => (isLater(own) || isAdvised(own)) === isMild);
    const tagsOf = (rows) => rows.map((own) => own.tag);
    const lacking = tagsOf(lackOf(said.LACKING, false));
    const doubtful = tagsOf(lackOf(said.MAY_LACK, false));
    const names = (tags) => said.some(tags.map((tag) => said.nutrientName(tag)));
    const what = [...lacking, ...doubtful].includes("ENERC_KCAL") ? "Food" : "Energy";
    const energy = tripWords(what, length);
    // what a lack shows of first; the count is of all that is called short
    const short = [...lacking, ...tagsOf(lackOf(said.LACKING, true))];
    if (lacking.length) return `Not quite. ${energy}, but not enough ${names(short)}.`;
    const others = standings.filter((own) => own.tag !== "ENERC_KCAL");
    const unknown = others.filter((own) => own.word === "not known").length;
    if (unknown > others.length / 2) {
      return `Not known. ${energy}, but too little is known of ${unknown} of ${others.length} nutrients. `
        + "Look for better labels, or take foods of the table.";
    }
    if (doubtful.length) return `Almost. ${energy}, but maybe not enough ${names(doubtful)}.`;
    const mild = [...lackOf(said.LACKING, true), ...lackOf(said.MAY_LACK, true)];
    const later = mild.every(isLater) ? ", but no lack shows on so short a trip" : "";
    if (mild.length) return `Almost. ${energy}. Low in ${names(tagsOf(mild))}${later}.`;
    return `Yes. ${energy}, and enough of all that is known.`;
  };

  /* The kinds of day that have less than they use, where the trip has not. */
  const lowEnergy = () => {
    const { told } = result;
    const wordOf = (d) => said.standingOf(result, told, d, "ENERC_KCAL").word;
    const days = daysThatCount();
    if (days.length < 2 || said.LOW_ENERGY.includes(wordOf(MEAN))) return [];
    return days.map((d) => ({ day: data.days[d].name, word: wordOf(d) }))
      .filter(({ word }) => said.LOW_ENERGY.includes(word));
  };

  const tripWords = (what, length) => {
    const low = lowEnergy();
    if (low.length) {
      const isEven = low.every(({ word }) => word === "even odds");
      const less = isEven ? "about break-even" : "less than you use";
      return `${what} for the whole trip, ${less} on ${said.some(low.map(({ day }) => day))}`;
    }
    return length > 1 ? `${what} for all ${length} days` : `${what} for the day`;
  };

  const noFullDayWords = ({ first, isAnyCovered, energyDays }, length) => {
    if (length === 1) return `The food gives ${percent(first)} of the energy that the day uses.`;
    if (isAnyCovered) return `The food gives ${percent(first)} of the energy that the first day uses.`;
    return "Food for no full day: the pack holds the energy of "
      + `${amount(energyDays, 1)} of ${said.daysWords(length)}.`;
  };

  const goneWords = (gone) => gone.length
    ? ` Gone early: ${said.listed(gone.map(([name, day]) => `${name} on day ${day}`))}.` : "";

  /* Full days in order whose energy reaches nine tenths of the day's use, what the first day has of
     it, and what ends before the trip; stock/days.py. */
  const daysOfTrip = () => {
    const energy = data.tags.indexOf("ENERC_KCAL");
    const { length, shares: kinds, wanted: byDay } = result.supply.longest;
    /* With other days than the plan's all is taken as carried from the start, as the page says. */
    const { masses, arrivals } = result;
    const left = data.items.map((item, i) => (item.found ? Infinity : arrivals ? 0 : masses[i]));
    const lacks = data.items.map((item) => ({ name: item.name, day: 0, missing: 0, wanted: 0 }));
    let covered = -1;
    let first = 0;
    let isAnyCovered = false;
    let useOfTrip = 0;
    for (let day = 0; day < length; day += 1) {
      const shares = kinds[day];
      for (const [at, i, grams] of arrivals ?? []) if (at === day) left[i] += grams;
      let kcal = 0;
      let use = 0;
      shares.forEach((share, d) => { use += share * result.days[d][energy].reference; });
      data.items.forEach((item, i) => {
        const wanted = byDay[day][i];
        const eaten = Math.min(left[i], wanted);
        left[i] -= eaten;
        if (!item.eaten) return;
        kcal += (eaten * (item.per100g[energy] || 0)) / 100;
        lacks[i].wanted += wanted;
        lacks[i].missing += wanted - eaten;
        if (wanted - eaten > wanted * 1e-9) lacks[i].day ||= day + 1;
      });
      if (day === 0) first = kcal / use;
      useOfTrip += use;
      const isCovered = kcal >= said.COVERED_SHARE * use * (1 - 1e-9);
      isAnyCovered ||= isCovered;
      if (covered < 0 && !isCovered) covered = day;
    }
    const gone = lacks.filter((own) => own.day && own.missing > data.rules.run_out_rounding * own.wanted)
      .sort((a, b) => a.day - b.day).map((own) => [own.name, own.day]);
    const held = data.items.reduce((kcal, item, i) => (item.eaten && !item.found
      ? kcal + (masses[i] * (item.per100g[energy] || 0)) / 100 : kcal), 0);
    const energyDays = held / (useOfTrip / length);
    return { covered: covered < 0 ? length : covered, first, gone, isAnyCovered, energyDays };
  };

  // ---- cautions

  const SIGNS = { danger: "alarm", warning: "look", note: "note" };
  const MOST_WARNINGS = data.rules.most_warnings;
  const keyOf = (own) => (own.isFixed ? own.place : own.level + own.line);
  const itemOf = (own) => {
    const item = one("li", one("template#caution").content.cloneNode(true));
    item.className = `is-${SIGNS[own.level]}`;
    one(".mark use", item).setAttribute("href", `#is-${SIGNS[own.level]}`);
    one("b", item).textContent = `${own.level}:`;
    one("bdi", item).textContent = own.line;
    one(".hint", item).textContent = own.authority;
    return item;
  };
  const shownItems = all("#warned li, #milder li");
  const itemsByKey = new Map(checked.cautions.map((own, place) => [keyOf(own), shownItems[place]]));
  const listOf = (cautions) => {
    const list = document.createElement("ul");
    list.className = "verdict";
    list.append(...cautions.map((own) => {
      if (!itemsByKey.has(keyOf(own))) itemsByKey.set(keyOf(own), itemOf(own));
      return itemsByKey.get(keyOf(own));
    }));
    return list;
  };
  const placesOf = (cautions) => cautions.flatMap(({ level, topic, places }) =>
    (places.length ? places : [""]).map((place) =>
      `${level}, ${topic}${place && place !== "person" ? ` (${place})` : ""}`));

  const fillCautions = () => {
    const { cautions } = result;
    const isChanged = changes().length > 0;
    const dangers = cautions.filter((own) => own.level === "danger");
    const warnings = cautions.filter((own) => own.level === "warning");
    const open = [...dangers, ...warnings.slice(0, MOST_WARNINGS)];
    const milder = cautions.filter((own) => !open.includes(own));
    one("#warned").replaceChildren(listOf(open));
    one("#milder > div").replaceChildren(listOf(milder));
    one("#milder").hidden = milder.length === 0;
    one("#milder summary").textContent = milder.length === 0 ? ""
      : `${milder.length} more ${milder.length === 1 ? "caution" : "cautions"}`;
    one("#no-cautions").hidden = cautions.length > 0;
    for (const own of cautions.filter((one_) => one_.stays)) {
      const place = one("bdi", itemsByKey.get(keyOf(own)));
      place.dataset.planned ??= place.textContent;
      place.textContent = (isChanged ? "As planned: " : "") + place.dataset.planned;
    }
    one(".alarm").hidden = dangers.length === 0;
    write(one(".alarm"), { dangers: dangers.length === 0 ? "" : `${dangers.length} ${dangers.length === 1 ? "danger" : "dangers"}`
      + ` to read first: ${dangers.map((own) => own.topic).join("; ")}` });
    const [before, after] = [checked.cautions, cautions].map(placesOf);
    const moved = [["New", after, before], ["No longer", before, after]]
      .map(([name, some, others]) => [name, [...new Set(some)].filter((own) => !others.includes(own))])
      .filter(([, some]) => some.length).map(([name, some]) => `${name}: ${some.join("; ")}.`);
    one("#cautions-moved").hidden = moved.length === 0;
    one("#cautions-moved").textContent = `Cautions. ${moved.join(" ")}`;
  };

  const fill = () => {
    fillAnswer();
    fillCautions();
    for (const element of all("tr[data-tag], td[data-tag]")) {
      fillRow(element, Number(element.dataset.day));
    }
    fillFigures();
    fillSupply();
    fillHints();
    fillChanges();
  };

  /* Recalculate at once, draw with the next frame: a slider moves on while a phone is drawing. */
  let drawing = 0;
  const follow = () => {
    result = recalculate(now.portions, now);
    cancelAnimationFrame(drawing);
    drawing = requestAnimationFrame(fill);
  };

  // ---- controls: a slider and a number for the same thing go together

  const CONTROLS = "input[data-portion], input[data-trip]";
  const placeOf = ({ dataset }) =>
    dataset.portion === undefined ? [dataset.trip, dataset.day] : ["portions", dataset.portion];
  const show = (input) => {
    const [list, at] = placeOf(input);
    input.value = input.type === "range" ? now[list][at] : level(now[list][at], 1).replace(",", "");
    input.removeAttribute("aria-invalid");
  };

  const change = ({ target: input }) => {
    if (!input.matches(CONTROLS)) return;
    if (input.value === "" || !input.validity.valid) {
      input.setAttribute("aria-invalid", "true");
      return;
    }
    const [list, at] = placeOf(input);
    now[list][at] = Number(input.value);
    input.removeAttribute("aria-invalid");
    for (const other of all(CONTROLS)) {
      if (other !== input && String(placeOf(other)) === String([list, at])) show(other);
    }
    follow();
  };

  const reset = () => {
    Object.assign(now, structuredClone(planned));
    all(CONTROLS).forEach(show);
    follow();
  };

  const chooseDay = () => {
    const select = one("#day");
    for (const row of all("#all tr[data-tag], #rest tr[data-tag]")) {
      fillRow(row, Number(select.value));
    }
    one("#all-day").textContent = select.selectedOptions[0].textContent;
  };

  all(CONTROLS).forEach(show); // a browser may have kept what was typed before
  one("#day").value = MEAN;
  one("#change").hidden = false;
  one("#choose").hidden = false;
  one("#controls").open = matchMedia("(min-width: 66rem)").matches;
  for (const button of all("[data-do=reset]")) {
    button.disabled = true;
    button.addEventListener("click", reset);
  }
  document.addEventListener("input", change);
  one("#day").addEventListener("change", chooseDay);
  /* A changed portion as the plan measures it, so that it varies as it did; else in grams. */
  const measured = (p) => {
    const { unit, unit_g: each } = data.portions[p];
    const grams = now.portions[p];
    return each > 0 ? `${Number((grams / each).toPrecision(6))} ${unit}` : `${grams} g`;
  };

  /* The changed plan as the text that a check reads. */
  const changedPlan = () => {
    let text = data.plan.text;
    for (const trip of TRIPS) {
      data.days.forEach((_, d) => { text = text.replace(`"@days ${trip} ${d}@"`, now[trip][d]); });
    }
    data.portions.forEach((_, p) => {
      const isChanged = now.portions[p] !== planned.portions[p];
      const line = isChanged ? `amount = ${JSON.stringify(measured(p))}` : data.plan.portions[p];
      text = text.replace(`amount = "@portion ${p}@"`, () => line);
    });
    return text;
  };
  if (data.plan?.text) {
    const button = one("[data-do=copy-plan]");
    button.hidden = false;
    button.addEventListener("click", () => {
      one("#copied").hidden = false;
      one("#plan-text").value = changedPlan();
      one("#plan-text").select();
      navigator.clipboard?.writeText(one("#plan-text").value).catch(() => {});
    });
  }

  // one page for the client by default; all of it, unfolded, on demand
  const printAs = (isAll) => {
    document.body.classList.toggle("print-all", isAll);
    if (isAll) for (const details of all("main details")) details.open = true;
    print();
  };
  for (const [name, isAll] of [["print-sheet", false], ["print-all", true]]) {
    const button = one(`[data-do=${name}]`);
    button.hidden = false;
    button.addEventListener("click", () => printAs(isAll));
  }
  one('a[href="#change"]').addEventListener("click", () => {
    one("#controls").open = true;
    one("#controls summary").focus();
  });
  const markCut = () => {
    for (const part of all(".scroll")) {
      part.classList.toggle("is-cut", part.scrollWidth > part.clientWidth + 1);
    }
  };
  document.addEventListener("toggle", markCut, true);
  addEventListener("resize", markCut);
  markCut();

  // For tests, and for whoever wants the figures behind what is shown.
  globalThis.nutricheck = { data, planned, now, recalculate, result: () => result };
})();
