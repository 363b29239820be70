// Lengths as the shop writes them, by the same rule as the sheets: nearest step, inches as fractions.

const INCH = 25.4;

/** To the nearest whole number, halves to the even one, as Python rounds. */
function rounded(value) {
  return Math.abs(value % 1) === 0.5 ? 2 * Math.round(value / 2) : Math.round(value);
}

export function length(mm, unit, fine = true) {
  if (unit === "mm") return (rounded(mm / (fine ? 0.5 : 1)) * (fine ? 0.5 : 1) + 0).toFixed(fine ? 1 : 0);
  const step = fine ? 32 : 16;
  const parts = rounded((mm / INCH) * step);
  const whole = Math.floor(Math.abs(parts) / step);
  let top = Math.abs(parts) % step, under = step;
  while (top && top % 2 === 0) {
    top /= 2;
    under /= 2;
  }
  const sign = parts < 0 ? "-" : "";
  if (!top) return `${sign}${whole}`;
  return whole ? `${sign}${whole}-${top}/${under}` : `${sign}${top}/${under}`;
}
