import { describe, expect, it } from 'vitest'
import { isNameOf, nearestName, unknownName } from '../../src/core/names.js'
import { endpointNames, endpointOf, findingNames } from '../../src/vocabulary/endpoints.js'
import {
  covariateNames,
  covariateOf,
  defaultCovariates,
  labelKinds,
  namedField,
  numberKinds,
  pseudonymFields,
  quasiIdentifiers,
  sheetFields,
  tableNames,
} from '../../src/vocabulary/fields.js'

describe('nearest name', () => {
  const fields = sheetFields.restorations.map((field) => field.name)

  it('is the one with the fewest letters changed, a swap counting once (Damerau 1964)', () => {
    expect(nearestName('abutment_orgin', fields)).toBe('abutment_origin')
    expect(nearestName('conection', fields)).toBe('connection')
    expect(nearestName('Bruxsim', fields)).toBe('bruxism')
    // One swap against two changes: without swaps "ba" would be as near to "xx".
    expect(nearestName('ab', ['xx', 'ba'])).toBeUndefined()
    expect(nearestName('abcde', ['abxye', 'abdce'])).toBe('abdce')
  })

  it('is none where more than two in five letters would have to change', () => {
    expect(nearestName('quadrant', ['sex', 'connection'])).toBeUndefined()
    expect(nearestName('', ['sex'])).toBeUndefined()
  })

  it('takes no notice of capitals, spaces and hyphens', () => {
    expect(nearestName('Crown Material', fields)).toBe('crown_material')
    expect(nearestName('last-contacts', ['last-contact', 'immortal-time'])).toBe('last-contact')
  })
})

describe('unknown names', () => {
  it('are refused with all that there are and the nearest', () => {
    const error = unknownName('endpoint', 'screw_losening', endpointNames)
    expect(error.code).toBe('unknown-name')
    expect(error.message).toBe(
      'there is no endpoint "screw_losening". Expected: one of screw_loosening, screw_fracture, screw_complication, loss_of_retention, veneer_chipping, implant_loss, removal. Mend: did you mean screw_loosening?',
    )
  })

  it('are told no further than 60 characters, whatever was put in their place', () => {
    expect(unknownName('field', 'x'.repeat(5000), ['sex']).message.length).toBeLessThan(200)
  })

  it('are refused by every look-up of the vocabulary', () => {
    const code = { code: 'unknown-name' }
    expect(() => endpointOf('screw_losening' as never)).toThrow(expect.objectContaining(code))
    expect(() => endpointOf('toString' as never)).toThrow(expect.objectContaining(code))
    expect(() => covariateOf('bruxsim' as never)).toThrow(/did you mean bruxism\?/)
    expect(() => namedField('restorations', 'abutment_orgin', labelKinds)).toThrow(
      /did you mean abutment_origin\?/,
    )
    expect(() => namedField('restorations', 'bruxism', numberKinds)).toThrow(expect.objectContaining(code))
    expect(isNameOf(endpointNames, 'removal')).toBe(true)
    expect(isNameOf(endpointNames, 'removed')).toBe(false)
  })
})

describe('the vocabulary', () => {
  it('names each field of a sheet once, and says of twins on both sides', () => {
    for (const sheet of [...tableNames, 'one_sheet'] as const) {
      const names = sheetFields[sheet].map((field) => field.name)
      expect(new Set(names).size).toBe(names.length)
      for (const { name, twin, alternative } of sheetFields[sheet]) {
        if (alternative !== undefined) expect(names).toContain(alternative)
        if (twin === undefined || sheet === 'one_sheet') continue
        expect(sheetFields[sheet].find((field) => field.name === twin)?.twin).toBe(name)
      }
    }
  })

  it('lists findings once, those of endpoints among them', () => {
    expect(new Set(findingNames).size).toBe(findingNames.length)
    for (const name of endpointNames) {
      for (const finding of endpointOf(name).findings) expect(findingNames).toContain(finding)
    }
  })

  it('derives what is adjusted for, by default most important first', () => {
    expect(defaultCovariates.slice(0, 4)).toEqual(['operator', 'delivery_day', 'region', 'bruxism'])
    expect(covariateNames).toContain('operator')
    expect(covariateOf('operator').field.name).toBe('operator_id')
    expect(covariateOf('component_system').ownCodes).toBe(true)
  })

  it('gives the instrument that read a torque the pseudonym it has as a device', () => {
    expect(pseudonymFields.get('reading_instrument_id')).toEqual({ letter: 'D', keyField: 'device_id' })
  })

  it('knows no free text in the shareable form, and marks what could single somebody out', () => {
    for (const table of tableNames) {
      for (const field of sheetFields[table]) if (field.kind === 'text') expect(field.localOnly).toBe(true)
    }
    expect(quasiIdentifiers).toEqual(
      expect.arrayContaining(['age_band', 'sex', 'tooth_position', 'clinic_id']),
    )
  })
})
