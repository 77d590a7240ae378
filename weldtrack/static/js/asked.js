// What a record would show where the site can't be asked: the same comparator as the site's (rules/compare.py), over the
// same requirements, which came with the form as data. It looks at this record, and at starts and stops of the pass before.
// Needs quantity.js.
self.asked = (() => {
  const { exact, times, over, minus, against, read, decimal } = quantity;
  const FULL_TURN = exact("360"), HALF_TURN = exact("180");
  const folded = (text) => text.split(/\s+/).join("").toLowerCase();

  const extreme = (side) => (values) => values.filter(Boolean).reduce((all, one) => (all && side * against(all, one) >= 0 ? all : one), undefined);
  const OPERATORS = {
    least: extreme(-1),
    greatest: extreme(1),
    first: (values) => values.find((one) => one !== undefined),
    minus: ([one, other]) => one && other && minus(one, other),
    times: (values) => values.reduce((all, one) => all && one && times(all, one)),
    over: ([one, other]) => (one && other?.above ? over(one, other) : undefined),
  };

  // The value of a term for a record; undefined where the record is silent.
  function measured(term, record) {
    if (!Array.isArray(term)) return exact(term);
    const [operator, ...parts] = term;
    if (operator === "field") return record[parts[0]];
    if (operator === "join") return parts.slice(1).map((part) => measured(part, record) ?? "").join(parts[0]);
    if (parts[0][0] === "each") return OPERATORS[operator](record[parts[0][1]] ?? []);
    return OPERATORS[operator](parts.map((part) => measured(part, record)));
  }

  function apart(one, other) {
    let between = minus(one, other);
    if (between.above < 0n) between = minus(other, one);
    return against(between, HALF_TURN) > 0 ? minus(FULL_TURN, between) : between;
  }

  const TESTS = {
    range({ term, bounds: [least, greatest] }, record) {
      const value = measured(term, record);
      if (!value) return undefined;
      if (least !== null && against(value, exact(least)) < 0) return { value, bound: "least" };
      return greatest !== null && against(value, exact(greatest)) > 0 ? { value, bound: "greatest" } : undefined;
    },
    one_of({ term, bounds }, record) {
      const value = measured(term, record);
      return value && !bounds.some((one) => folded(one) === folded(value)) ? { value } : undefined;
    },
    requires({ term }, record) {
      return (measured(term, record) ?? "") === "" ? { value: "" } : undefined;
    },
    // Of the stamps that came along alone, in capitals or not; the site knows the others.
    allowed_until({ term, bounds }, record) {
      const typed = measured(term, record) ?? "", known = Object.entries(bounds).find(([one]) => one.toLowerCase() === typed.toLowerCase());
      if (!known) return undefined;
      const [value, entry] = known;
      if (entry.until === null ? !entry.why : record.done_on <= entry.until) return undefined;
      return { value, until: entry.until, why: entry.why };
    },
    dial_apart({ term, bounds }, record, before) {
      const here = measured(term, record);
      const all = here ? before.map((one) => measured(term, one)).filter(Boolean).map((one) => apart(here, one)) : [];
      const value = OPERATORS.least(all);
      return value && against(value, exact(bounds[0])) < 0 ? { value, bound: "least" } : undefined;
    },
  };

  const TOLD = { pass: "role", process: "process", filler: "filler_classification" };
  const applies = ({ when }, record) => Object.entries(when).every(([name, value]) => record[TOLD[name]] === value);

  // [requirement, departure] of each requirement that a record departs from.
  function departures(requirements, record, before = []) {
    return requirements.filter((one) => applies(one, record)).map((one) => [one, TESTS[one.test](one, record, before)]).filter(([, one]) => one);
  }

  // More segments than this are not tried in every direction, as on the site: each doubles the ways.
  const MOST_SEGMENTS = 10;

  // Whether segments of a pass, in plain degrees, close the circle, as rules/coverage.py sees it: one that says nothing of
  // its place is all round; one runs clockwise, or the other way where that is half a turn or less. Each slot is half a degree.
  function is_all_round(segments) {
    if (segments.some(({ start, stop }) => start === undefined || stop === undefined || start === stop)) return true;
    if (segments.length > MOST_SEGMENTS) return true;
    const SLOTS = 720, ways = segments.map(({ start, stop }) => {
      const turn = (stop - start + 360) % 360;
      return turn < 180 ? [[start, turn]] : [[start, turn], [stop, 360 - turn]];
    });
    const closes = (rest, covered) => {
      if (!rest.length) return covered.size === SLOTS;
      return rest[0].some(([from, turn]) => {
        const more = new Set(covered);
        for (let at = 0; at < turn * 2; at += 1) more.add(Math.round(from * 2 + at) % SLOTS);
        return closes(rest.slice(1), more);
      });
    };
    return closes(ways, new Set());
  }

  // What a form says, as the record that the rules speak of, with the fields whose text is no figure.
  function said(carried, fields) {
    const record = {}, unread = [];
    for (const [column, { name, unit }] of Object.entries(carried.measures)) {
      const typed = (fields[name] ?? "").trim(), value = typed ? read(typed, unit, carried.reading) : undefined;
      if (value) record[column] = value;
      else if (typed) unread.push([name, typed]);
    }
    for (const [column, parts] of Object.entries(carried.groups)) record[column] = parts.map((one) => record[one]).filter(Boolean);
    for (const [column, name] of Object.entries(carried.texts)) record[column] = (fields[name] ?? "").trim();
    const lot = carried.lots[fields.filler_lot];
    if (lot) {
      record.filler_classification = lot[0];
      if (lot[1] !== null) record.filler_diameter_mm = exact(lot[1]);
    }
    return { record, unread };
  }

  // As it was typed, where that is one figure; else worked out, in the unit of the job.
  function figure({ term, unit, shown_by }, value, carried, fields) {
    const [operator, column] = term[0] === "first" ? term[1] : term, name = operator === "field" && carried.measures[column]?.name;
    const typed = name ? (fields[name] ?? "").trim() : "";
    if (typed) return /[a-z"'″′°]/i.test(typed) ? typed : `${typed} ${unit}`.trim();
    return `${decimal(times(value, exact(shown_by)))} ${unit}`.trim();
  }

  function sentence(one, departure, carried, fields) {
    const { test, label, args, source, sources } = one, { value, bound } = departure;
    if (test === "requires") return `${label} is not recorded (${source}).`;
    if (test === "one_of") return `${label} ${value}, not ${one.bounds.join(" or ")} (${source}).`;
    if (test === "allowed_until") return departure.why ? `${value}: ${departure.why}` : `${value} was qualified until ${departure.until}.`;
    const word = bound === "least" ? "at least" : "at most", limit = `${args[bound]} ${one.unit}`.trim();
    if (test === "dial_apart") return `${label} ${decimal(value, 1)}° from that of the pass before, ${word} ${limit} (${source}).`;
    return `${label} ${figure(one, value, carried, fields)}, ${word} ${limit} (${sources[bound] ?? source}).`;
  }

  // What a form would show: [severity, sentence] of each finding, and what of it can't be read.
  function told(carried, fields, before = []) {
    const { record, unread } = said(carried, fields), seen = new Set();
    const found = departures(carried.requirements, record, before).filter(([one]) => {
      // A gap too wide all round departs by its least and by its greatest reading: one is told. Two wrong heats are two.
      const is_again = carried.kind === "fit-up" && one.test === "range" && seen.has(one.code);
      seen.add(one.code);
      return !is_again;
    });
    return { findings: found.map(([one, departure]) => [one.severity, sentence(one, departure, carried, fields)]), unread };
  }

  return { departures, is_all_round, told };
})();
