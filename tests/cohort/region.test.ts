import { describe, expect, it } from 'vitest'
import { buildCohort } from '../../src/cohort/cohort.js'
import { arches, covariateValues, regions } from '../../src/cohort/covariates.js'
import { archOf, regionOf } from '../../src/cohort/region.js'
import { whatElseMatters } from '../../src/questions/whatElse/answer.js'
import { check, crown, recordsOf } from './recordsOf.js'

/** ISO 3950:2016, permanent teeth: the first digit is the quadrant, the second counts from the midline. */
const quadrants = { upper: [1, 2], lower: [3, 4] } as const
const units = { anterior: [1, 2, 3], premolar: [4, 5], molar: [6, 7, 8] } as const

describe('region and arch of a position', () => {
  it('are those of ISO 3950 for every permanent tooth', () => {
    for (const [arch, tens] of Object.entries(quadrants)) {
      for (const [region, ones] of Object.entries(units)) {
        for (const position of tens.flatMap((ten) => ones.map((one) => 10 * ten + one))) {
          expect([position, archOf(position), regionOf(position)]).toEqual([position, arch, region])
        }
      }
    }
  })

  it('are unknown where there is no such tooth, and where the position is not known', () => {
    for (const position of [0, 1, 9, 10, 19, 20, 29, 30, 39, 40, 49, 51, 55, 61, 85, 101, -11, Number.NaN]) {
      expect([position, archOf(position), regionOf(position)]).toEqual([position, undefined, undefined])
    }
  })
})

describe('region and arch of a restoration', () => {
  const ids = ['a', 'b', 'c', 'd']
  const visits = ids.map((id) => check(id, 400))
  const cohortOf = (fields: readonly Readonly<Record<string, string | number>>[]) =>
    buildCohort(recordsOf({ restorations: fields.map((more, i) => crown(ids[i]!, more)), visits }))

  it('are unknown where the position is, never lower molar', () => {
    const cohort = cohortOf([{ tooth_position: 36 }, {}, { tooth_position: 14 }])
    expect(regions(cohort)).toEqual(['molar', undefined, 'premolar'])
    expect(arches(cohort)).toEqual(['lower', undefined, 'upper'])
    expect(cohort.trait('region')).toEqual(['molar', undefined, 'premolar'])
    expect(cohort.trait('arch')).toEqual(['lower', undefined, 'upper'])
    expect([...cohort.where({ region: 'molar' }).recordRow]).toEqual([0])
    expect(covariateValues(cohort, Int32Array.of(2, 1), 'region')).toEqual(['premolar', undefined])
    const sites = whatElseMatters(cohort).sites.map(({ arch, region, restorations }) => [
      `${arch} ${region}`,
      restorations,
    ])
    expect(sites.sort()).toEqual([
      ['lower molar', 1],
      ['upper premolar', 1],
    ])
  })

  it('are read as recorded where positions were made coarser before the records were shared', () => {
    const cohort = cohortOf([
      { region: 'anterior', arch: 'upper' },
      { region: 'molar', arch: 'upper' },
      { region: 'premolar', arch: 'lower' },
      { arch: 'lower' },
    ])
    expect(regions(cohort)).toEqual(['anterior', 'molar', 'premolar', undefined])
    expect(arches(cohort)).toEqual(['upper', 'upper', 'lower', 'lower'])
    expect([...cohort.where({ region: ['anterior', 'premolar'] }).recordRow]).toEqual([0, 2])
    expect([...cohort.where({ arch: 'lower' }).recordRow]).toEqual([2, 3])
  })

  it('cannot be asked for where neither positions nor they are recorded', () => {
    const cohort = cohortOf([{}, {}])
    for (const name of ['region', 'arch'] as const) {
      expect(() => cohort.where({ [name]: 'molar' } as never)).toThrow(
        'these records do not have the field tooth_position.',
      )
    }
  })
})
