import type { ReferenceMethod } from '../referenceCase.js'
import { agreementMethods } from './agreement.js'
import { balanceMethods } from './balance.js'
import { competingMethods } from './competing.js'
import { coxMethods } from './cox.js'
import { distributionMethods } from './distributions.js'
import { intervalCensoredMethods } from './intervalCensored.js'
import { kaplanMeierMethods } from './kaplanMeier.js'
import { logRankMethods } from './logRank.js'
import { metaMethods } from './meta.js'
import { monitoringMethods } from './monitoring.js'
import { planningMethods } from './planning.js'
import { proportionMethods } from './proportions.js'
import { rateMethods } from './rates.js'
import { meanCountMethods } from './recurrent.js'
import { recurrentRegressionMethods } from './recurrentRegression.js'
import { regressionMethods } from './regression.js'
import { strdMethods } from './strd.js'

const methods: ReadonlyMap<string, ReferenceMethod> = new Map(
  Object.entries({
    ...distributionMethods,
    ...regressionMethods,
    ...strdMethods,
    ...metaMethods,
    ...planningMethods,
    ...balanceMethods,
    ...monitoringMethods,
    ...kaplanMeierMethods,
    ...logRankMethods,
    ...competingMethods,
    ...meanCountMethods,
    ...proportionMethods,
    ...rateMethods,
    ...agreementMethods,
    ...coxMethods,
    ...intervalCensoredMethods,
    ...recurrentRegressionMethods,
  }),
)

/** All kinds that the toolkit computes. */
export function methodKinds(): readonly string[] {
  return [...methods.keys()].sort()
}

/** The toolkit's method for a kind of case, or undefined where it has none. */
export function methodOf(kind: string): ReferenceMethod | undefined {
  return methods.get(kind)
}
