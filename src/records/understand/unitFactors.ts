/** Standard gravity, exact by definition (3rd CGPM, 1901): kgf·cm to N·cm. */
const newtonPerKilogramForce = 9.80665

/** 1 lb = 0.45359237 kg and 1 in = 2.54 cm by the international agreement of 1959: in·lbf to N·cm. */
const newtonCentimetresPerInchPound = 0.45359237 * newtonPerKilogramForce * 2.54

const factors: Readonly<Record<string, Readonly<Record<string, number>>>> = {
  N·cm: {
    N·cm: 1,
    N·m: 100,
    N·mm: 0.1,
    kgf·cm: newtonPerKilogramForce,
    in·lbf: newtonCentimetresPerInchPound,
  },
  mm: { mm: 1, cm: 10 },
  min: { min: 1, s: 1 / 60, h: 60 },
  s: { s: 1, min: 60 },
  d: { d: 1 },
  '°': { '°': 1 },
  years: { years: 1 },
}

/** Factor that turns a number in one unit into the unit of a field; undefined where there is none. */
export function unitFactor(from: string, to: string): number | undefined {
  return factors[to]?.[from]
}
