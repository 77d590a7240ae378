// Figures as somebody types them, read as the site reads them and exactly: a fraction of two whole numbers, in the unit
// that records keep. What it takes (units, factors, patterns) comes with the form, as data of rules/reading.py.
self.quantity = (() => {
  const COLON = /^(\d+):([0-5]\d)$/, TAPE = new Set(["2", "4", "8", "16", "32", "64"]);

  const of = (above, below = 1n) => (below < 0n ? { above: -above, below: -below } : { above, below });
  const times = (one, other) => of(one.above * other.above, one.below * other.below);
  const over = (one, other) => of(one.above * other.below, one.below * other.above);
  const plus = (one, other) => of(one.above * other.below + other.above * one.below, one.below * other.below);
  const minus = (one, other) => plus(one, of(-other.above, other.below));
  // Below nothing, nothing or above nothing, as the first is smaller than the other, alike or greater.
  const against = (one, other) => {
    const apart = one.above * other.below - other.above * one.below;
    return apart < 0n ? -1 : apart > 0n ? 1 : 0;
  };

  // A decimal or a fraction as text: 1.25, -.5, 127/5.
  function exact(text) {
    const [above, below] = String(text).split("/");
    if (below !== undefined) return over(exact(above), exact(below));
    const [, sign, whole, part = ""] = above.match(/^([-+]?)(\d*)(?:\.(\d*))?$/);
    const value = of(BigInt(`${whole}${part}` || "0"), 10n ** BigInt(part.length));
    return sign === "-" ? of(-value.above, value.below) : value;
  }

  // Half a last place goes to the even figure, as on the site; whatever is rounded here is above nothing or told so.
  function rounded(value, places) {
    const scale = 10n ** BigInt(places), top = value.above * scale, is_minus = top < 0n, size = is_minus ? -top : top;
    const whole = size / value.below, rest = (size % value.below) * 2n;
    const up = rest > value.below || (rest === value.below && whole % 2n === 1n) ? 1n : 0n;
    return of((whole + up) * (is_minus ? -1n : 1n), scale);
  }

  function one_spelling(text, how) {
    const marked = [...text].map((sign) => how.marks[sign] ?? sign).join("").replaceAll("''", '"');
    const taped = Object.entries(how.tape).reduce((all, [sign, fraction]) => all.replaceAll(sign, ` ${fraction}`), marked);
    return taped.trim().split(/\s+/).join(" ");
  }

  const whole = (pattern) => new RegExp(`^(?:${pattern})$`, "i");

  function amount(text, how) {
    const mixed = text.match(whole(how.patterns.mixed));
    if (!mixed) return exact(text);
    if (!TAPE.has(String(Number(mixed[3])))) return undefined;
    return plus(exact(mixed[1] ?? "0"), of(BigInt(mixed[2]), BigInt(mixed[3])));
  }

  function length(text, how) {
    const known = how.length.units, feet = text.match(whole(how.patterns.feet));
    if (feet) {
      const inches = amount(feet[2], how);
      return inches && plus(times(exact(feet[1]), exact(known.ft)), times(inches, exact(known.in)));
    }
    const found = text.match(whole(how.patterns.length)), size = found && amount(found[1], how);
    if (!size) return undefined;
    const name = (found[2] ?? "").toLowerCase().replace(/\.$/, ""), is_fraction = found[1].includes("/");
    const is_metric = ["mm", "cm", "m"].includes(name || how.length.bare);
    if (is_fraction && is_metric) return undefined;
    const unit = !name ? how.length.bare : is_metric ? name : /^(?:f|')/.test(name) ? "ft" : "in";
    return times(size, exact(known[unit]));
  }

  const degrees_named = (name) => name.replace(/°|deg/g, "").trim();

  function scaled(text, how) {
    const found = text.match(/^(?:[^\n]*)$/) && text.match(how.whole);
    const unit = found && (how.name_of(found[2]).toLowerCase() || how.bare);
    if (!found || !Object.hasOwn(how.units, unit)) return undefined;
    const [off, factor] = how.units[unit];
    return rounded(times(minus(exact(found[1]), exact(off)), exact(factor)), how.places);
  }

  function clock(text) {
    const colon = text.match(/^(\d{1,2}):([0-5]\d)$/);
    if (!colon && !/^(?:\d+(?:\.\d*)?|\.\d+)$/.test(text)) return undefined;
    const hours = colon ? plus(exact(colon[1]), of(BigInt(colon[2]), 60n)) : exact(text);
    if (against(hours, exact("13")) >= 0) return undefined;
    const degrees = times(hours, exact("30"));
    return rounded(against(degrees, exact("360")) < 0 ? degrees : minus(degrees, exact("360")), 4);
  }

  // No figure of the trade comes near; the site refuses it.
  const within_reach = (value) => (value && against(value, exact("1000000000000")) < 0 ? value : undefined);

  // A text as typed, in the unit that records keep (mm, A, V, s, mm/min, °C, or clock for degrees from 12 o'clock);
  // undefined where it is no such figure.
  function read(typed, unit, how) {
    const comma = typed.trim().replace(new RegExp(how.patterns.comma, "gu"), (found) => found.replace(",", "."));
    const text = one_spelling(comma, how);
    if (unit === "clock") return clock(text);
    if (unit === "mm") return text.startsWith("-") ? undefined : within_reach(length(text, how));
    const colon = unit === "s" && text.match(COLON);
    if (colon) return plus(times(exact(colon[1]), exact("60")), exact(colon[2]));
    const one = how.scaled[unit], is_degrees = unit === "°C";
    const value = scaled(text, { ...one, whole: whole(how.patterns.quantity), name_of: is_degrees ? degrees_named : (name) => name.replace(/\s+/g, "") });
    const least = is_degrees ? exact("-273.15") : exact("0");
    return value && against(value, least) >= 0 ? within_reach(value) : undefined;
  }

  const decimal = (value, places = 3) => {
    const { above } = rounded(value, places), size = above < 0n ? -above : above, scale = 10n ** BigInt(places);
    const part = String(size % scale).padStart(places, "0").replace(/0+$/, "");
    return `${above < 0n ? "-" : ""}${size / scale}${part ? `.${part}` : ""}`;
  };

  // Degrees from 12 o'clock as a plain number; undefined where the text is no hour.
  const degrees = (text) => {
    const found = clock(text.trim().replace(",", "."));
    return found && Number(decimal(found, 4));
  };

  return { degrees, exact, times, over, plus, minus, against, read, decimal };
})();
