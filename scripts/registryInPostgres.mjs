/**
 * Runs the queries that `holdfast share --print-sql` prints on PostgreSQL (of Debian's package), on generated rows at
 * risk, and requires that the numbers of the message are those of the embedded engine on the same rows: for a first
 * release, and for one that begins at an earlier cut-off day. The server lives in a temporary folder, listens on a socket
 * in it and nowhere else, and is stopped and removed afterwards. `.ci/run` calls it.
 *
 *   node scripts/registryInPostgres.mjs [RESTORATIONS]
 */
import { execFileSync } from 'node:child_process'
import {
  chownSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  openSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { writeRegistry } from '../bench/registryRows.mjs'
import { exampleProtocol } from '../dist/pooling/protocol/protocol.js'

const main = join(dirname(fileURLToPath(import.meta.url)), '..', 'dist', 'cli', 'main.js')
const restorations = Number(process.argv[2] ?? 1_000_000)
const releases = {
  first: { from: null, cutoff: '2024-12-31' },
  second: { from: '2019-06-30', cutoff: '2024-12-31' },
}

/** Where the programs of the server are, which Debian keeps off the path. */
function programs() {
  const debian = '/usr/lib/postgresql'
  const versions = existsSync(debian) ? readdirSync(debian).sort((a, b) => Number(b) - Number(a)) : []
  const found = versions.map((one) => join(debian, one, 'bin')).find((one) => existsSync(join(one, 'initdb')))
  if (found === undefined)
    throw new Error('There is no PostgreSQL here. On Debian: apt-get install postgresql')
  return found
}

/** Who runs the server, which refuses the administrator. */
function serverUser() {
  if (process.getuid() !== 0) return {}
  const id = (option) => Number(execFileSync('id', [option, 'postgres'], { encoding: 'utf8' }))
  return { uid: id('-u'), gid: id('-g') }
}

/** Starts a server of its own in a folder; answers with how to ask it and how to stop it. */
function startServer(folder) {
  const bin = programs()
  const user = serverUser()
  mkdirSync(folder, { mode: 0o700 })
  if (user.uid !== undefined) chownSync(folder, user.uid, user.gid)
  const data = join(folder, 'data')
  const run = (program, words) =>
    execFileSync(join(bin, program), words, { ...user, cwd: folder, stdio: ['ignore', 'ignore', 'inherit'] })
  run('initdb', ['-D', data, '-U', 'registry', '-A', 'trust', '-E', 'UTF8', '--locale=C.UTF-8', '--no-sync'])
  const settings = `-c listen_addresses= -c unix_socket_directories=${folder} -c fsync=off`
  run('pg_ctl', ['-D', data, '-w', '-l', join(folder, 'log'), '-o', settings, 'start'])
  const connection = ['-X', '-q', '-v', 'ON_ERROR_STOP=1', '-h', folder, '-U', 'registry', '-d', 'postgres']
  return {
    ask: (words) =>
      execFileSync('psql', [...connection, ...words], { stdio: ['ignore', 'inherit', 'inherit'] }),
    stop: () => run('pg_ctl', ['-D', data, '-w', '-m', 'fast', 'stop']),
  }
}

/** Runs the built command; what it prints goes into a file. */
function holdfast(scratch, words, file = 'printed.txt') {
  const out = openSync(join(scratch, file), 'w')
  execFileSync(process.execPath, [main, ...words], { cwd: scratch, stdio: ['ignore', out, 'inherit'] })
}

/** The numbers that a practice fixed, which go into its message. */
function numbersIn(place) {
  const file = readdirSync(place).find((name) => name.startsWith('practice-'))
  const { releases: kept } = JSON.parse(readFileSync(join(place, file), 'utf8'))
  return kept[0].values
}

/** Shares one release both ways, and says where the numbers differ. */
function sharedBothWays(name, scratch, server) {
  const protocol = `${name}.json`
  writeFileSync(join(scratch, protocol), JSON.stringify({ ...exampleProtocol, release: releases[name] }))
  const common = ['share', '--protocol', protocol]
  const site = (way) => ['--practice', `${name}-${way}`, '--name', 'Registry', '--out', `sent-${name}-${way}`]
  const at = (file) => join(scratch, `${name}-${file}`)
  holdfast(scratch, [...common, '--print-sql'], `${name}-first.sql`)
  server.ask(['--csv', '-f', at('first.sql'), '-o', at('counts.csv')])
  holdfast(scratch, [...common, '--print-sql', '--counts', at('counts.csv')], `${name}-second.sql`)
  server.ask(['--csv', '-f', at('second.sql'), '-o', at('squares.csv')])
  holdfast(scratch, [...common, ...site('server'), '--counts', at('counts.csv'), at('squares.csv')])
  holdfast(scratch, ['share', 'registry.parquet', '--sql', ...common.slice(1), ...site('embedded')])
  const [here, there] = ['embedded', 'server'].map((way) => numbersIn(join(scratch, `${name}-${way}`)))
  const differing = here.filter((value, i) => value !== there[i]).length
  if (here.length !== there.length || differing > 0)
    throw new Error(`${name} release: ${differing} of ${here.length} numbers differ between the engines`)
  if (here.filter((value) => value !== 0).length < here.length / 2)
    throw new Error(`${name} release: most of the ${here.length} numbers are 0, so that nothing was compared`)
  console.log(`${name} release: the same ${here.length} numbers from PostgreSQL and the embedded engine`)
}

const scratch = mkdtempSync(join(tmpdir(), 'registry-'))
// The server's user has to pass through to its own folder.
execFileSync('chmod', ['711', scratch])
let server
try {
  const started = Date.now()
  await writeRegistry([join(scratch, 'registry.parquet'), join(scratch, 'registry.csv')], restorations)
  server = startServer(join(scratch, 'server'))
  const columns =
    'restoration_id bigint, patient_id bigint, clinic_id text, delivery_date date, time_days integer, entry_days integer, status integer, exposure text'
  server.ask(['-c', `CREATE TABLE rows_at_risk (${columns})`])
  server.ask(['-c', `\\copy rows_at_risk FROM '${join(scratch, 'registry.csv')}' (FORMAT csv, HEADER)`])
  server.ask(['-c', 'ANALYZE rows_at_risk'])
  for (const name of Object.keys(releases)) sharedBothWays(name, scratch, server)
  console.log(`${restorations} restorations, ${((Date.now() - started) / 1000).toFixed(0)} s`)
} finally {
  server?.stop()
  rmSync(scratch, { recursive: true, force: true })
}
