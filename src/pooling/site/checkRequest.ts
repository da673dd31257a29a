import type { Release } from '../identity/practice.js'
import { coefficientNames, fromWholeNumbers, layoutOf, lengthOf, roundLayout } from '../protocol/layout.js'
import { agreedOfList, type List, listHash, type RoundRequest, type Totals } from '../protocol/messages.js'
import { modelAt, nextCoefficients } from '../protocol/newton.js'
import type { Protocol } from '../protocol/protocol.js'
import { refusals } from './refusals.js'

/** Coefficients of a round, by endpoint. */
export type Coefficients = Readonly<Record<string, readonly number[] | null>>

/** Largest difference at which coefficients are those that a step gives. */
const sameCoefficient = 1e-9

/** Where every model begins. */
export function zeroCoefficients(protocol: Protocol): Readonly<Record<string, number[]>> {
  const zero = coefficientNames(protocol).map(() => 0)
  return Object.fromEntries(protocol.endpoints.map((endpoint) => [endpoint, [...zero]]))
}

/**
 * Checks that totals are of a list, and can be sums that hold the practice's own numbers.
 *
 * @throws DisclosureError `other-coordinator`, `wrong-totals`
 */
export function checkTotalsOf(
  totals: Totals,
  list: List,
  round: number,
  own: readonly number[] | undefined,
): void {
  if (totals.coordinator !== list.coordinator) throw refusals.otherCoordinator()
  if (totals.listHash !== listHash(list)) throw refusals.wrongTotals('they belong to another list')
  if (totals.round !== round) throw refusals.wrongTotals('they belong to another round')
  const { protocol } = agreedOfList(list)
  const layout = round === 0 ? layoutOf(protocol) : roundLayout(protocol)
  if (totals.values.length !== lengthOf(layout))
    throw refusals.wrongTotals('their number is not that of the layout')
  if (totals.values[0] !== list.sites.length)
    throw refusals.wrongTotals(
      `they add up over ${totals.values[0]} practices, and the list has ${list.sites.length}`,
    )
  if (own === undefined) return
  let at = 0
  for (const { size, scale, name } of layout) {
    for (let i = 0; i < size; i++, at++) {
      if (scale === 1 && totals.values[at]! < own[at]!)
        throw refusals.wrongTotals(`${name} is less than this practice gave`)
    }
  }
}

/** Checks a request for a round. */
export function checkRequest(
  request: RoundRequest,
  list: List,
  before: Coefficients,
  release: Release,
): void {
  if (request.coordinator !== list.coordinator) throw refusals.otherCoordinator()
  const { protocol } = agreedOfList(list)
  if (protocol.covariates.length === 0 || request.round > protocol.mostRounds) throw refusals.secondRequest()
  const round = request.round - 1
  checkTotalsOf(request.before, list, round, round === 0 ? release.values : undefined)
  const sums = fromWholeNumbers(
    request.before.values,
    round === 0 ? layoutOf(protocol) : roundLayout(protocol),
  )
  const asked = Object.keys(request.coefficients)
  if (
    asked.length !== protocol.endpoints.length ||
    asked.some((one) => !(protocol.endpoints as string[]).includes(one))
  )
    throw refusals.chosenCoefficients()
  for (const endpoint of protocol.endpoints) {
    const given = request.coefficients[endpoint] ?? null
    if (given === null) continue
    const from = before[endpoint] ?? null
    const step = from === null ? undefined : nextCoefficients(modelAt(sums, protocol, endpoint, from))
    const follows =
      step !== undefined &&
      given.length === step.length &&
      given.every((one, j) => Math.abs(one - step[j]!) <= sameCoefficient)
    if (!follows) throw refusals.chosenCoefficients()
  }
}
