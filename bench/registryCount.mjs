/** Counts one file of rows at risk and prints how long it took, and how much memory: see registry.mjs. */
import { openEngine } from '../dist/cli/engine.js'
import { exampleProtocol, readProtocol } from '../dist/pooling/protocol/protocol.js'
import { countedOf, countedParts, rowScoreTables, squaresSize } from '../dist/pooling/site/countedParts.js'
import { countsQuery, squaresQuery } from '../dist/pooling/site/countedSql.js'
import { numbersOfParts } from '../dist/pooling/site/numbers.js'

const started = performance.now()
const seconds = () => (performance.now() - started) / 1000
const { protocol } = readProtocol(JSON.stringify(exampleProtocol))
const engine = await openEngine(process.argv[2], protocol)
const taken = { rows: seconds() }
const processor = () => (process.cpuUsage().user + process.cpuUsage().system) / 1e6
const rows = 'SELECT * FROM rows_asked_for'
const counted = countedOf(await engine.ask(countsQuery(rows)), protocol)
taken.table = seconds()
taken.processor = processor()
taken.days = new Set(counted.clinics.flatMap(({ counts }) => counts.exits.map(({ day }) => day))).size
const size = squaresSize(protocol)
await engine.giveScores(rowScoreTables(counted, protocol), size)
const [squares] = await engine.ask(squaresQuery(rows, 'SELECT * FROM given_scores', size))
const [endpoint] = protocol.endpoints
const numbers = numbersOfParts({ [endpoint]: countedParts(counted, squares, protocol) }, protocol)
taken.summary = seconds()
taken.restorations = numbers.restorations
await engine.close()
taken.megabytes = process.resourceUsage().maxRSS / 1024
process.stdout.write(JSON.stringify(taken))
