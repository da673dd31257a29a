/** Writes down, beside the compiled kernel, the names that cells have without an import list, and where each is declared. Part of the build. */
import { rmSync, writeFileSync } from 'node:fs'
import { relative, resolve, sep } from 'node:path'
import typescript from 'typescript'
import { doorFromDeclarations } from '../dist/notebook/frontDoor.js'

const folder = resolve(import.meta.dirname, '../dist/notebook')
const target = resolve(folder, 'doorNames.json')
rmSync(target, { force: true })
const names = [...doorFromDeclarations(typescript)].map(([name, { module, exported }]) => [
  name,
  { module: relative(folder, module).split(sep).join('/'), exported },
])
writeFileSync(target, `${JSON.stringify(names)}\n`)
