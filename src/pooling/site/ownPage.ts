import type { Estimate } from '../../core/estimate.js'
import { deepFreeze } from '../../core/plain.js'
import type { EndpointName } from '../../vocabulary/endpoints.js'
import { objectionable } from '../coordinator/cells.js'
import { groupRate, yearsOf } from '../coordinator/curves.js'
import type { Practice } from '../identity/practice.js'
import { fromWholeNumbers, layoutOf, type Sums, valuesForList } from '../protocol/layout.js'
import { agreedOfList, messageText, type Objection, type Totals } from '../protocol/messages.js'
import type { Protocol } from '../protocol/protocol.js'
import { signed } from '../protocol/signing.js'
import { checkTotalsOf } from './checkRequest.js'
import { answeredList } from './release.js'

/** Figures of one side of the page of a practice. */
export interface SideFigures {
  readonly restorations: number
  readonly patients: number
  readonly events: number
  readonly restorationYears: number
  readonly rate: Estimate
}

/** A practice beside all others of its list, made on its own machine from the totals and its own numbers. */
export interface OwnPage {
  readonly name: string
  readonly generated: boolean
  readonly protocol: Protocol
  readonly groups: readonly {
    readonly endpoint: EndpointName
    readonly group: string
    readonly own: SideFigures
    /** Absent where the others are too few. */
    readonly others?: SideFigures
  }[]
  /** Cells that the practice objects to. */
  readonly objected: readonly string[]
}

/**
 * Checks totals against a practice's own numbers, makes its page, and its objection where printing would give away what
 * the others have.
 *
 * @throws DisclosureError `list-not-answered`, `other-coordinator`, `wrong-totals`
 */
export function checkedTotals(
  practices: readonly Practice[],
  totals: Totals,
): { readonly page: OwnPage; readonly objection: string | undefined; readonly practice: Practice } {
  const { practice, release, list } = answeredList(practices, totals.listHash)
  checkTotalsOf(totals, list, 0, release.values)
  const { protocol } = agreedOfList(list)
  const layout = layoutOf(protocol)
  const all = fromWholeNumbers(totals.values, layout)
  const own = fromWholeNumbers(valuesForList(release.values, protocol, list.sites.length), layout)
  const others: Sums = Object.fromEntries(
    Object.entries(all).map(([name, values]) => [name, values.map((value, i) => value - own[name]![i]!)]),
  )
  const objected = objectionable(all, own, protocol)
  const objection: Objection | undefined =
    objected.length === 0
      ? undefined
      : signed(
          {
            format: 'holdfast-objection-1' as const,
            identity: practice.signing.open,
            name: practice.name,
            listHash: totals.listHash,
            cells: [...objected],
          },
          practice.signing.secret,
        )
  const page = deepFreeze({
    name: practice.name,
    generated: list.sites.some(({ generated }) => generated),
    protocol,
    groups: protocol.endpoints.flatMap((endpoint) =>
      ([1, 0] as const).map((at) => {
        const rest = sideOf(others, protocol, endpoint, at)
        return {
          endpoint,
          group: at === 1 ? protocol.groups.group : protocol.groups.against,
          own: sideOf(own, protocol, endpoint, at),
          ...(rest.patients < protocol.threshold ? {} : { others: rest }),
        }
      }),
    ),
    objected,
  })
  return { page, objection: objection === undefined ? undefined : messageText(objection), practice }
}

function sideOf(sums: Sums, protocol: Protocol, endpoint: string, at: 0 | 1): SideFigures {
  const read = (name: string): number => sums[`${endpoint}/${name}`]![at]!
  const squares = sums[`${endpoint}/patientRateSquares`]!
  const parts = {
    group: at === 1 ? protocol.groups.group : protocol.groups.against,
    n: read('restorations'),
    patients: read('patients'),
    events: read('events'),
    years: Math.max(0, yearsOf(read('days'))),
    squares: [squares[at * 3]!, squares[at * 3 + 1]!, squares[at * 3 + 2]!] as const,
  }
  return {
    restorations: parts.n,
    patients: parts.patients,
    events: parts.events,
    restorationYears: parts.years,
    rate: groupRate(parts, protocol),
  }
}
