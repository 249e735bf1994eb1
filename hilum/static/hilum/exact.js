// Exact decimals as whole numbers of 10^-9: a balance's hundredths must add up as they do on paper, and floats do not.
const PLACES = 9;

// Read what a person or a balance typed; null where it is no plain number. A comma is a decimal sign, as on the server.
export function exactly(typed) {
  const text = typed.replace(/g\s*$/i, "").trim().replace(",", ".");
  const found = /^(\d{0,12})(?:\.(\d{0,9}))?$/.exec(text);
  if (!found || text === "" || text === ".") return null;
  return BigInt((found[1] || "0") + (found[2] || "").padEnd(PLACES, "0"));
}

// Count the decimals somebody typed, so that a sum is written with as many as the finest weight in it.
export function decimalsOf(typed) {
  const found = /[.,](\d*)/.exec(typed);
  return found ? Math.min(PLACES, found[1].length) : 0;
}

// Write a number with so many decimals, half up. Fewer are cut only where nothing is lost.
export function written(value, decimals, sign = ".") {
  let places = decimals;
  while (places < PLACES && value % 10n ** BigInt(PLACES - places) !== 0n) places += 1;
  const digits = value.toString().padStart(PLACES + 1, "0");
  const whole = digits.slice(0, -PLACES);
  const rest = digits.slice(-PLACES).slice(0, places);
  return rest ? whole + sign + rest : whole;
}
