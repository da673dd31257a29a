import { UsageError } from '../core/errors.js'

/**
 * Preload in newtons that a torque would give by F = T / (K · d). K and d have to be known for the screw at hand: K
 * alone runs from 0.4 to above 1 with coating and re-use, so that no default would be better than a guess.
 *
 * @param torqueNcm torque in N·cm
 * @param nutFactor K, without unit, measured for this screw, coating and number of uses
 * @param diameterMm nominal diameter of the thread in mm
 * @throws UsageError `not-an-amount` where one of them is not above 0
 * @example preloadFromTorque(25, 0.421, 1.8) // => 329.9
 */
export function preloadFromTorque(torqueNcm: number, nutFactor: number, diameterMm: number): number {
  for (const [name, value] of Object.entries({ torqueNcm, nutFactor, diameterMm })) {
    if (Number.isFinite(value) && value > 0) continue
    throw new UsageError({
      code: 'not-an-amount',
      problem: `${name} is ${value}.`,
      expected: 'torque in N·cm, nut factor and diameter in mm, each above 0.',
      mend: 'leave preload out where the nut factor or the diameter of the screw is not known.',
    })
  }
  // 1 N·cm is 10 N·mm.
  return (torqueNcm * 10) / (nutFactor * diameterMm)
}
