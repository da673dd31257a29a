import { type Message, message } from '../../messages/message.js'
import { fieldName, levelName } from '../../messages/names.js'
import { fieldOf } from '../../vocabulary/fields.js'
import type { FactorRatio } from './answer.js'

/** What a ratio sets against what: "region of the mouth: premolar against molar", "year of delivery: each year later". */
export function factorWords({ key, contrast }: Pick<FactorRatio, 'key' | 'contrast'>): Message {
  const { level, baseline, step } = contrast
  const said =
    level === undefined
      ? message('factor.step', { of: stepOf(key), step: step ?? 1 })
      : message('factor.levels', { level: levelName(key, level), baseline: levelName(key, baseline ?? '') })
  return message('described.level', { trait: fieldName(key), level: said })
}

function stepOf(key: string): 'delivery_year' | 'millimetres' | 'years' | 'other' {
  if (key === 'delivery_year') return key
  const unit = fieldOf('restorations', key)?.unit
  return unit === 'mm' ? 'millimetres' : unit === 'years' ? 'years' : 'other'
}
