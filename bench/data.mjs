/**
 * Rows for timing: day-resolution times, about 4% events and 2% competing events, two groups, five covariates, 1.7 rows
 * per patient, from a fixed seed.
 */
import { randomStream } from '../dist/core/random.js'

export function benchRows(count, seed = 7) {
  const stream = randomStream(seed, count)
  const rows = {
    time: new Float64Array(count),
    status: new Uint8Array(count),
    event: new Uint8Array(count),
    group: new Uint8Array(count),
    patient: new Int32Array(count),
    covariates: {},
  }
  const names = ['x1', 'x2', 'x3', 'x4']
  for (const name of names) rows.covariates[name] = new Float64Array(count)
  let patient = 0
  let left = 0
  let frailty = 1
  for (let i = 0; i < count; i++) {
    if (left === 0) {
      const u = stream.uniform()
      left = u < 0.58 ? 1 : u < 0.84 ? 2 : u < 0.93 ? 3 : 4
      patient += 1
      frailty = stream.gamma(2) / 2
    }
    left -= 1
    rows.patient[i] = patient
    rows.group[i] = stream.uniform() < 0.5 ? 1 : 0
    names.forEach((name, k) => {
      rows.covariates[name][i] = k < 2 ? (stream.uniform() < 0.3 ? 1 : 0) : stream.normal()
    })
    const risk =
      frailty * Math.exp(-0.5 * rows.group[i] + 0.4 * rows.covariates.x1[i] + 0.2 * rows.covariates.x3[i])
    const event = (stream.exponential() / (0.0000305 * risk)) | 0
    const competing = (stream.exponential() / 0.0000145) | 0
    const censored = 1 + stream.index(2920)
    const time = Math.min(event, competing, censored)
    rows.time[i] = Math.max(1, time)
    rows.status[i] = time === censored ? 0 : time === event ? 1 : 2
    rows.event[i] = rows.status[i] === 1 ? 1 : 0
  }
  return rows
}
