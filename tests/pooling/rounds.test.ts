import { describe, expect, it } from 'vitest'
import { HoldfastError } from '../../src/core/errors.js'
import { gathered } from '../../src/pooling/coordinator/gather.js'
import { modelsAt } from '../../src/pooling/coordinator/models.js'
import type { Practice } from '../../src/pooling/identity/practice.js'
import { type Answer, type RoundRequest, readMessage } from '../../src/pooling/protocol/messages.js'
import { signed } from '../../src/pooling/protocol/signing.js'
import { answerRound } from '../../src/pooling/site/release.js'
import { coxRegression } from '../../src/statistics/hazardModels/cox.js'
import { answered, coordinator, listOf, readyPractice } from './messagesOfGroup.js'
import { agreedOn, groupRows, stacked } from './syntheticGroup.js'

const agreed = agreedOn({
  covariates: [{ field: 'sex', levels: ['female', 'male'] }],
})
const endpoint = agreed.protocol.endpoints[0]!
const all = groupRows(agreed.protocol).slice(5, 11)
const ready = all.map((rows, i) => readyPractice(`Practice ${i}`, rows, agreed))
const list = listOf(
  ready.map((one) => one.ready),
  agreed,
)
let practices: readonly Practice[] = []
const answers: Answer[] = []
const first = ready.map(({ practice }) => answered(practice, list))
practices = first.map(({ practice }) => practice)
answers.push(...first.map(({ answer }) => answer))
const sum = gathered(list, answers, coordinator)
if (sum.state === 'waiting') throw new Error('waiting')
const { totals } = sum

function refused(work: () => unknown): string {
  try {
    work()
  } catch (error) {
    if (error instanceof HoldfastError) return error.code
    throw error
  }
  return 'nothing'
}

describe('the model in rounds', () => {
  const requests: RoundRequest[] = []

  it('stands at the last complete round while an answer is missing', () => {
    const at = modelsAt(list, totals, answers, coordinator, [])
    expect(at.request?.round).toBe(1)
    expect(at.missing).toHaveLength(6)
    expect(at.models[endpoint]).toMatchObject({ rounds: 1, settled: false })
  })

  it('refuses coefficients that are no step of the totals, other totals, and a second request', () => {
    const { request } = modelsAt(list, totals, answers, coordinator, [])
    const { signature: _one, ...content } = request!
    const again = (changes: Partial<RoundRequest>): RoundRequest =>
      signed({ ...content, ...changes }, coordinator.secret) as RoundRequest
    const chosen = again({ coefficients: { [endpoint]: [0.5, 0] } })
    expect(refused(() => answerRound([practices[0]!], chosen))).toBe('chosen-coefficients')
    const { signature: _two, ...before } = totals
    const fewer = signed(
      { ...before, values: totals.values.map((one, i) => (i === 0 ? 5 : one)) },
      coordinator.secret,
    )
    expect(refused(() => answerRound([practices[0]!], again({ before: fewer })))).toBe('wrong-totals')
    expect(refused(() => answerRound([ready[0]!.practice], request!))).toBe('list-not-answered')
    expect(refused(() => answerRound([practices[0]!], again({ round: 2 })))).toBe('second-request')
    const step = answerRound([practices[0]!], request!)
    expect(answerRound([step.practice], request!)).toMatchObject({ text: step.text, again: true })
    const other = again({ coefficients: { [endpoint]: null } })
    expect(refused(() => answerRound([step.practice], other))).toBe('second-request')
  })

  it('comes to the coefficients of the rows laid together, within what rounding explains', () => {
    let at = modelsAt(list, totals, answers, coordinator, requests)
    while (at.request !== undefined) {
      const { request } = at
      requests.push(request)
      practices = practices.map((practice) => {
        const step = answerRound([practice], request)
        answers.push(readMessage(step.text, 'answer', 'answer') as Answer)
        return step.practice
      })
      at = modelsAt(list, totals, answers, coordinator, requests)
    }
    const model = at.models[endpoint]!
    expect(model.settled).toBe(true)
    const rows = stacked(all)
    const kept = rows.group.flatMap((_one, row) => (rows.covariates[0]![row]! < 2 ? [row] : []))
    const fit = coxRegression(
      {
        start: kept.map((row) => rows.start[row]!),
        stop: kept.map((row) => rows.stop[row]!),
        event: kept.map((row) => rows.event[row]!),
      },
      { group: kept.map((row) => rows.group[row]!), male: kept.map((row) => rows.covariates[0]![row]!) },
      { strata: kept.map((row) => rows.stratum[row]!), cluster: kept.map((row) => rows.patient[row]!) },
    )
    fit.hazardRatios.forEach((ratio, j) => {
      const error = ratio.standardError!.value
      const log = model.at.coefficients[j]! + model.at.step[j]!
      expect(Math.abs(log - Math.log(ratio.estimate as number))).toBeLessThan(0.02 * error)
      expect(Math.abs(Math.sqrt(model.at.covariance[j]![j]!) / error - 1)).toBeLessThan(0.01)
    })
  })
})
