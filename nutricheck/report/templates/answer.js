/* The first screen after a change: chances, words, bars and the sentence that answers.
   A twin of advice/answer.py and report/answer_words.py for what the controls can move. */
const answers = (data) => {
  const MEAN = data.days.length;
  const WITHIN_LIMIT = "within the limit";
  const LACKING = ["short", "likely short", "too little sodium"];
  const MAY_LACK = ["even odds", "below the advised amount"];
  const LOW_ENERGY = ["short", "likely short", "even odds"];
  const COVERED_SHARE = 0.9;
  const MOST_NAMED = 3;

  const chanceWords = (tenths) => {
    if (tenths < 0) return "";
    return { 0: "under 1 in 20", 10: "over 19 in 20" }[tenths] ?? `${tenths} in 10`;
  };

  const nutrientName = (tag) =>
    tag === "NA" ? "sodium" : data.components[tag].name.split(" (")[0];

  const excessOf = (row) => {
    if (formulas.is_too_much(row)) return "too much";
    return formulas.may_be_too_much(row) ? "maybe too much" : "";
  };

  const standingOf = (result, told, d, tag) => {
    const row = result.days[d][data.tags.indexOf(tag)];
    const own = told[d][tag];
    const excess = excessOf(row);
    const word = own ? own.word : row.status;
    const isFine = word === "enough" || word === "likely enough";
    const shown = formulas.shown_word({ word, is_fine: isFine,
      is_too_much: excess === "too much", may_be_too_much: excess === "maybe too much" });
    return {
      tag, day: d, tenths: own ? own.tenths : -1, word, shown, excess,
      low: row.low, likely: row.likely, high: row.high, aim: row.reference, ratio: row.ratio,
    };
  };

  const urgency = (own) => {
    if (own.excess === "too much") return [0, 0, 0];
    if (own.tenths < 0) return [3, 0, 0];
    const share = own.aim ? own.likely / own.aim : Infinity;
    return [1, own.excess && own.tenths >= 8 ? 4 : own.tenths, share];
  };
  const SALT_WORST_FIRST = ["far too much", "too little sodium", "ask your doctor", "not known",
    "more than useful", "sodium is right", WITHIN_LIMIT];
  const before = (a, b) => {
    if (a.tag === "NA") {
      const [x, y] = [a, b].map((own) => SALT_WORST_FIRST.indexOf(own.word));
      return x < y || (x === y && a.tenths < b.tenths);
    }
    const [x, y] = [urgency(a), urgency(b)];
    const at = x.findIndex((value, i) => value !== y[i]);
    return at >= 0 && x[at] < y[at];
  };

  /* The five, then the others as they are named: the worst first, of equals as the tags stand. */
  const worstFirst = (standings, five) => {
    const place = ({ tag }) => data.tags.indexOf(tag);
    const others = standings.filter(({ tag }) => !five.includes(tag))
      .sort((a, b) => (before(a, b) ? -1 : before(b, a) ? 1 : place(a) - place(b)));
    return [...standings.filter(({ tag }) => five.includes(tag)), ...others];
  };

  const listed = (names) => names.length < 2 ? names.join("")
    : `${names.slice(0, -1).join(", ")} and ${names.at(-1)}`;
  const some = (names) => names.length <= MOST_NAMED ? listed(names)
    : `${names.slice(0, MOST_NAMED - 1).join(", ")} and ${names.length - MOST_NAMED + 1} more`;

  const daysWords = (count) => `${count} ${count === 1 ? "day" : "days"}`;

  return { MEAN, WITHIN_LIMIT, LACKING, MAY_LACK, LOW_ENERGY, COVERED_SHARE, chanceWords, nutrientName, standingOf, before,
    worstFirst, listed, some, daysWords };
};
