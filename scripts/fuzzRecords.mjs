// Reads random byte files as data sets: nothing but a typed error or a list of problems may come out.
// Usage: node scripts/fuzzRecords.mjs [count] [seed]; the figures of a run stand in docs/records.md.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { HoldfastError } from '../dist/core/errors.js'
import { randomStream } from '../dist/core/random.js'
import { checkRecords } from '../dist/records/read/readDataset.js'

const count = Number(process.argv[2] ?? 100_000)
const seed = Number(process.argv[3] ?? 20_250_101)
const random = randomStream(seed)
const folder = mkdtempSync(join(tmpdir(), 'holdfast-fuzz-'))
const beginnings = ['', '', '1f8b08', '504b0304', 'd0cf11e0a1b11ae1', 'fffe', 'feff', 'efbbbf'].map((hex) =>
  Buffer.from(hex, 'hex'),
)
const tableSigns = Buffer.from('0123456789abcXYZ,;\t\n\r"\' ./-=äé')

function randomFile() {
  const begin = beginnings[random.index(beginnings.length)]
  const length = random.index(400)
  const ofSigns = random.index(2) === 0
  const body = Buffer.from(
    Array.from({ length }, () => (ofSigns ? tableSigns[random.index(tableSigns.length)] : random.index(256))),
  )
  return Buffer.concat([begin, body])
}

const names = ['a.csv', 'a.tsv', 'a.xlsx', 'a.xls', 'a.csv.gz']
let refused = 0
let typed = 0
try {
  for (let run = 0; run < count; run++) {
    const path = join(folder, names[random.index(names.length)])
    const bytes = randomFile()
    writeFileSync(path, bytes)
    try {
      await checkRecords(path, { today: 20_000 })
      refused++
    } catch (error) {
      if (!(error instanceof HoldfastError)) {
        process.stdout.write(
          `run ${run} of seed ${seed}: ${error?.stack ?? error}\nbytes: ${bytes.toString('hex')}\n`,
        )
        process.exitCode = 1
        break
      }
      typed++
    }
    rmSync(path)
  }
} finally {
  rmSync(folder, { recursive: true, force: true })
}
process.stdout.write(`${refused} files read to a list of problems, ${typed} typed errors, seed ${seed}\n`)
