/**
 * Gathers the modules that the command line loads, ours and those of packages, into few files beside the compiled code: several
 * hundred modules take half a second to find and read, a dozen files a tenth of it. Part of the build; where esbuild cannot run,
 * the command works from the single modules.
 *
 * What is looked up beside a module (messages, schemas, threads) is still looked up beside the module as compiled.
 */
import { readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { dirname, join, relative, resolve } from 'node:path'

const dist = resolve(import.meta.dirname, '../dist')
const target = join(dist, 'bundled')
rmSync(target, { recursive: true, force: true })

/** Files that are started by name: the command line, and its threads. */
const entries = [
  'cli/commandLine.js',
  'cli/auditThread.js',
  'charts/pictureThread.js',
  'statistics/imputation/chainsThread.js',
]

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
      const place = `new URL(${JSON.stringify(relative(target, path))}, bundleUrl)`
      const folder = JSON.stringify(`${relative(target, dirname(path)) || '.'}`)
      const contents = source
        .replaceAll('import.meta.dirname', `pathOfUrl(new URL(${folder}, bundleUrl))`)
        .replaceAll('import.meta.filename', `pathOfUrl(${place})`)
        .replaceAll(/new URL\('\.\/(\w+\.js)', import\.meta\.url\)/g, (whole, file) =>
          entries.some((entry) => entry.endsWith(`/${file}`)) ? `new URL('./${file}', bundleUrl)` : whole,
        )
        .replaceAll('import.meta.url', `${place}.href`)
        .replaceAll('bundleUrl', 'import.meta.url')
      return { contents, loader: 'js' }
    })
  },
}

try {
  const esbuild = await import('esbuild')
  const { metafile } = await esbuild.build({
    entryPoints: entries.map((entry) => join(dist, entry)),
    outdir: target,
    bundle: true,
    splitting: true,
    format: 'esm',
    platform: 'node',
    target: 'node20',
    minifyWhitespace: true,
    metafile: true,
    external,
    entryNames: '[name]',
    chunkNames: '[name]-[hash]',
    plugins: [ownPlaces],
    logLevel: 'warning',
    banner: {
      js: "import { createRequire as requireOf } from 'node:module';import { fileURLToPath as pathOfUrl } from 'node:url';const require = requireOf(import.meta.url);",
    },
  })
  writeFileSync(join(target, 'LICENSES.txt'), licences(Object.keys(metafile.inputs)))
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
