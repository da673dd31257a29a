/** Counts one file of rows at risk and prints how long it took, and how much memory: see registry.mjs. */
import { openEngine } from '../dist/cli/engine.js'
import { makeEngineSummary } from '../dist/pooling/engineSummary.js'
import { exampleProtocol, readProtocol } from '../dist/pooling/protocol.js'
import { sharedBlocks } from '../dist/pooling/sharedBlocks.js'
import { planSite } from '../dist/pooling/sitePlan.js'
import { sqlSource } from '../dist/pooling/sqlSource.js'

const started = performance.now()
const seconds = () => (performance.now() - started) / 1000
const agreed = readProtocol(JSON.stringify(exampleProtocol))
const { protocol } = agreed
const engine = await openEngine(process.argv[2], protocol)
const rows = { ...engine, clinic: engine.clinics[0] }
const taken = { rows: seconds() }
const processor = () => (process.cpuUsage().user + process.cpuUsage().system) / 1e6
const source = sqlSource(rows, protocol)
const plan = await planSite(protocol, (grouping) => source.fine(grouping))
const blocks = sharedBlocks(protocol, plan, await source.fine(plan.grouping))
taken.table = seconds()
taken.processor = processor()
taken.intervals = blocks.reduce((sum, { intervalEndsDays }) => sum + intervalEndsDays.length, 0)
const { summary } = await makeEngineSummary(rows, agreed, { date: '2026-01-31', toolkit: 'bench' })
taken.summary = seconds()
taken.restorations = summary.restorations
await engine.close()
taken.megabytes = process.resourceUsage().maxRSS / 1024
process.stdout.write(JSON.stringify(taken))
