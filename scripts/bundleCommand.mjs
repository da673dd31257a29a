/**
 * Gathers what the command line and its threads load, our modules and those of packages, into one file for each program: several
 * hundred modules take half a second to find and read, one file a tenth of it, and the engine keeps what it compiled of it beside
 * it (scripts/compileAhead.mjs). Part of the build; where esbuild cannot run, the command works from the single modules.
 *
 * What is looked up beside a module (messages, schemas) is still looked up beside the module as compiled; threads are started from
 * the gathered files.
 */
import { createHash } from 'node:crypto'
import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { dirname, join, relative, resolve } from 'node:path'

const dist = resolve(import.meta.dirname, '../dist')
const target = join(dist, 'bundled')
rmSync(target, { recursive: true, force: true })

/** The programs, each with what is started of it by name (src/cli/gathered.ts). */
const programs = {
  command: { commandLine: 'cli/commandLine.js', auditThread: 'cli/auditThread.js' },
  answers: {
    answersThread: 'cli/answersThread.js',
    chainsThread: 'statistics/imputation/chainsThread.js',
  },
  pictures: { pictureThread: 'charts/pictureThread.js', render: 'charts/render.js' },
  reading: { readingThread: 'records/read/readingThread.js' },
}

const threads = Object.entries(programs).flatMap(([program, parts]) =>
  Object.keys(parts)
    .filter((part) => part.endsWith('Thread'))
    .map((part) => ({ program, part })),
)

/** Packages that hold native parts, look up their own files, or are seldom wanted. */
const external = [
  '@duckdb/node-api',
  'canvas',
  'danfojs-node',
  'docx',
  'playwright-core',
  'pptxgenjs',
  'tslab',
  'zeromq',
]

/** Where a module of ours asks for its own place, it hears the place of the module as compiled. */
const ownPlaces = {
  name: 'own-places',
  setup(build) {
    build.onLoad({ filter: /\.js$/ }, ({ path }) => {
      if (!path.startsWith(dist)) return undefined
      const source = readFileSync(path, 'utf8')
      if (!source.includes('import.meta.')) return undefined
      const place = `new URL(${JSON.stringify(relative(target, path))}, placeOfProgram)`
      const folder = JSON.stringify(`${relative(target, dirname(path)) || '.'}`)
      const contents = source
        .replaceAll('import.meta.dirname', `pathOfUrl(new URL(${folder}, placeOfProgram))`)
        .replaceAll('import.meta.filename', `pathOfUrl(${place})`)
        .replaceAll(/new URL\('\.\/(\w+)\.js', import\.meta\.url\)/g, (whole, name) =>
          threads.some(({ part }) => part === name) ? `new URL('./${name}.js', placeOfProgram)` : whole,
        )
        .replaceAll('import.meta.url', `${place}.href`)
      return { contents, loader: 'js' }
    })
  },
}

/** A module that awaits while it is loaded cannot be gathered so; what Vega awaits can as well be required. */
const requiredCanvas = {
  name: 'required-canvas',
  setup(build) {
    build.onLoad({ filter: /vega-canvas\.node\.js$/ }, ({ path }) => ({
      contents: readFileSync(path, 'utf8').replace("await import('canvas')", "require('canvas')"),
      loader: 'js',
    }))
  },
}

try {
  const esbuild = await import('esbuild')
  mkdirSync(target)
  const inputs = new Set()
  for (const [name, parts] of Object.entries(programs)) {
    const listed = Object.entries(parts).map(
      ([part, file]) => `  ${part}: () => import(${JSON.stringify(`./${file}`)}),\n`,
    )
    const { metafile, outputFiles } = await esbuild.build({
      stdin: { contents: `export const parts = {\n${listed.join('')}}`, resolveDir: dist },
      bundle: true,
      write: false,
      format: 'cjs',
      platform: 'node',
      target: 'node20',
      charset: 'ascii',
      minifyWhitespace: true,
      metafile: true,
      // Pictures have a program of their own: where a command draws by itself after all, it loads Vega as it is installed.
      external: name === 'command' ? [...external, 'vega', 'vega-lite'] : external,
      plugins: [ownPlaces, requiredCanvas],
      logLevel: 'warning',
      banner: {
        js: "const {fileURLToPath:pathOfUrl,pathToFileURL:urlOfPath}=require('node:url');const placeOfProgram=urlOfPath(__filename);",
      },
    })
    // A program that the engine took back compiled cannot import by itself: what is left outside is imported by its caller.
    const program = outputFiles[0].text.replaceAll(/(?<![\w.$])import\(/g, 'importHere(')
    const digest = createHash('sha256').update(program).digest('hex')
    writeFileSync(join(target, `${name}.cjs`), `// ${digest}\n${program}`)
    for (const input of Object.keys(metafile.inputs)) inputs.add(input)
  }
  for (const { program, part } of threads) {
    writeFileSync(
      join(target, `${part}.js`),
      `import { runGatheredThread } from '../cli/gathered.js'\nawait runGatheredThread('${program}', '${part}')\n`,
    )
  }
  writeFileSync(join(target, 'LICENSES.txt'), licences([...inputs]))
} catch (cause) {
  rmSync(target, { recursive: true, force: true })
  const reason = cause instanceof Error ? cause.message : String(cause)
  process.stderr.write(`The command is left in single modules, which take longer to load: ${reason}\n`)
}

/** The licences of the packages whose code was gathered, as they ask for; a text that many share stands once. */
function licences(files) {
  const packages = new Set(
    files.flatMap((file) => /^.*node_modules\/(?:@[^/]+\/)?[^/]+/.exec(file)?.[0] ?? []),
  )
  const namesByText = new Map()
  for (const folder of [...packages].sort()) {
    const { name, version, license } = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'))
    for (const text of licenceTexts(folder)) {
      namesByText.set(text, [...(namesByText.get(text) ?? []), `${name} ${version} (${license})`])
    }
  }
  return [...namesByText].map(([text, names]) => `${names.join('\n')}\n\n${text}\n`).join('\n\n')
}

function licenceTexts(folder) {
  const files = readdirSync(folder).filter((file) => /^(licen[cs]e|copying|notice)/i.test(file))
  return files.length === 0 ? [''] : files.map((file) => readFileSync(join(folder, file), 'utf8').trim())
}
