// Writes docs/schema/intake-answers.schema.json from the shape by which answers are checked.
import { writeFileSync } from 'node:fs'
import { answersSchema } from '../dist/records/interview/answers.js'

const target = new URL('../docs/schema/intake-answers.schema.json', import.meta.url)
writeFileSync(target, `${JSON.stringify(answersSchema(), null, 2)}\n`)
