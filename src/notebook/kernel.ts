import { type ChildProcess, spawn } from 'node:child_process'
import { createHmac, randomUUID } from 'node:crypto'
import { rmSync, writeFileSync } from 'node:fs'
import { createServer } from 'node:net'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { Dealer, Subscriber } from 'zeromq'
import { UsageError } from '../core/errors.js'
import { openScratch } from '../core/scratch.js'

/** One message of the Jupyter messaging protocol (version 5.3), as far as a runner needs it. */
export interface KernelMessage {
  readonly type: string
  readonly parentId: string
  readonly content: Readonly<Record<string, unknown>>
}

/** A running kernel: code goes in, messages come out. */
export interface Kernel {
  /** Sends code for execution; answers with the id of the request. */
  execute(code: string): Promise<string>
  /** Asks the kernel who it is; it answers with messages on both channels. */
  probe(): Promise<void>
  /** Next message, whichever channel it came by; undefined once the kernel is gone. */
  next(): Promise<KernelMessage | undefined>
  /** How the process ended, once it has. */
  readonly ended: () => { readonly code: number | null; readonly signal: string | null } | undefined
  /** Last text that the process itself wrote on standard error. */
  readonly lastWords: () => string
  /** Kills the process and closes the channels. */
  close(): void
}

interface Connection {
  readonly ip: string
  readonly transport: string
  readonly shell_port: number
  readonly iopub_port: number
  readonly stdin_port: number
  readonly control_port: number
  readonly hb_port: number
  readonly key: string
  readonly signature_scheme: string
  readonly kernel_name: string
}

const delimiter = '<IDS|MSG>'

/**
 * Starts the TypeScript kernel of the project and connects to it over loopback (Jupyter wire protocol).
 *
 * @param workingDirectory folder in which the cells run, that of the notebook
 * @param environment variables added to the kernel's own
 * @param memoryMb memory for the objects of the cells; default 2,048
 */
export async function startKernel(
  workingDirectory: string,
  environment: Readonly<Record<string, string>> = {},
  memoryMb = 2048,
): Promise<Kernel> {
  for (let attempt = 0; attempt < startAttempts; attempt++) {
    const kernel = await launchedKernel(workingDirectory, environment, memoryMb)
    if (await isListening(kernel)) return kernel
    kernel.close()
  }
  throw new UsageError({
    code: 'kernel-does-not-start',
    problem: 'the notebook kernel does not answer.',
    expected: 'a kernel that can be reached on this machine.',
    mend: 'run it again; if that does not help, run npm ci and npm run build.',
  })
}

async function launchedKernel(
  workingDirectory: string,
  environment: Readonly<Record<string, string>>,
  memoryMb: number,
): Promise<Kernel> {
  const { Dealer, Subscriber } = await import('zeromq')
  const connection = await newConnection()
  const folder = openScratch('kernel')
  const file = join(folder, 'connection.json')
  writeFileSync(file, JSON.stringify(connection), { mode: 0o600 })
  const child = spawn(process.execPath, [`--max-old-space-size=${memoryMb}`, kernelScript(), file], {
    cwd: workingDirectory,
    env: { ...process.env, ...environment, HOLDFAST_RUNNER: '1' },
    stdio: ['pipe', 'ignore', 'pipe'],
  })
  const shell = new Dealer({ linger: 0 })
  const iopub = new Subscriber({ linger: 0 })
  shell.connect(`tcp://127.0.0.1:${connection.shell_port}`)
  iopub.connect(`tcp://127.0.0.1:${connection.iopub_port}`)
  iopub.subscribe()
  return connectedKernel(child, shell, iopub, connection.key, folder)
}

/** How often a kernel is started again that does not come up, and the seconds that it may take to answer at all. */
const startAttempts = 4
const startSeconds = 45

/** What the kernel says when a port was taken by another process between being found free and being bound. */
const portTaken = /address already in use|EADDRINUSE/i

/**
 * Waits until messages of the kernel arrive on both channels: a message published before the subscription stands is
 * lost, and a run would wait for it for ever. False where the kernel will never be heard.
 */
async function isListening(kernel: Kernel): Promise<boolean> {
  const heard = heardStatus(kernel)
  for (let waited = 0; waited < startSeconds * 4; waited++) {
    if (kernel.ended() !== undefined || portTaken.test(kernel.lastWords())) return false
    await kernel.probe()
    const found = await Promise.race([heard, pause(250)])
    if (found !== undefined) return found
  }
  return false
}

async function heardStatus(kernel: Kernel): Promise<boolean> {
  for (;;) {
    const message = await kernel.next()
    if (message === undefined) return false
    if (message.type === 'status') return true
  }
}

function pause(milliseconds: number): Promise<undefined> {
  return new Promise((resolve) => setTimeout(() => resolve(undefined), milliseconds))
}

function connectedKernel(
  child: ChildProcess,
  shell: Dealer,
  iopub: Subscriber,
  key: string,
  folder: string,
): Kernel {
  const session = randomUUID()
  const queue: KernelMessage[] = []
  const waiting: ((message: KernelMessage | undefined) => void)[] = []
  let end: { code: number | null; signal: string | null } | undefined
  let words = ''
  const deliver = (message: KernelMessage): void => {
    const waiter = waiting.shift()
    if (waiter === undefined) queue.push(message)
    else waiter(message)
  }
  child.stderr?.on('data', (chunk: Buffer) => {
    words = (words + chunk.toString('utf8')).slice(-4000)
  })
  child.once('exit', (code, signal) => {
    end = { code, signal }
    for (const waiter of waiting.splice(0)) waiter(undefined)
  })
  const kill = (): void => void child.kill('SIGKILL')
  process.once('exit', kill)
  void pump(shell, deliver)
  void pump(iopub, deliver)
  return {
    execute: async (code) => {
      const id = randomUUID()
      const content = { code, silent: false, store_history: true, allow_stdin: false, stop_on_error: true }
      await shell.send(signedFrames(key, session, id, 'execute_request', content))
      return id
    },
    probe: () => shell.send(signedFrames(key, session, randomUUID(), 'kernel_info_request', {})),
    next: () => {
      const message = queue.shift()
      if (message !== undefined) return Promise.resolve(message)
      if (end !== undefined) return Promise.resolve(undefined)
      return new Promise((resolve) => waiting.push(resolve))
    },
    ended: () => end,
    lastWords: () => words,
    close: () => {
      kill()
      process.removeListener('exit', kill)
      shell.close()
      iopub.close()
      rmSync(folder, { recursive: true, force: true })
    },
  }
}

async function pump(socket: Dealer | Subscriber, deliver: (message: KernelMessage) => void): Promise<void> {
  try {
    for await (const frames of socket) {
      const message = readFrames(frames)
      if (message !== undefined) deliver(message)
    }
  } catch {
    // The socket was closed while a receive was pending: the kernel has been let go.
  }
}

function readFrames(frames: readonly Buffer[]): KernelMessage | undefined {
  const start = frames.findIndex((frame) => frame.toString('utf8') === delimiter)
  if (start < 0) return undefined
  const read = (offset: number): Record<string, unknown> =>
    JSON.parse(frames[start + offset]?.toString('utf8') ?? '{}') as Record<string, unknown>
  return {
    type: String(read(2).msg_type),
    parentId: String(read(3).msg_id ?? ''),
    content: read(5),
  }
}

function signedFrames(key: string, session: string, id: string, type: string, content: unknown): string[] {
  const header = {
    msg_id: id,
    msg_type: type,
    session,
    username: 'holdfast',
    date: '1970-01-01T00:00:00.000Z',
    version: '5.3',
  }
  const parts = [header, {}, {}, content].map((part) => JSON.stringify(part))
  const signature = createHmac('sha256', key)
  for (const part of parts) signature.update(part)
  return [delimiter, signature.digest('hex'), ...parts]
}

async function newConnection(): Promise<Connection> {
  const [shell, iopub, stdin, control, heartbeat] = await freePorts(5)
  return {
    ip: '127.0.0.1',
    transport: 'tcp',
    shell_port: shell!,
    iopub_port: iopub!,
    stdin_port: stdin!,
    control_port: control!,
    hb_port: heartbeat!,
    key: randomUUID(),
    signature_scheme: 'hmac-sha256',
    kernel_name: 'holdfast',
  }
}

/** Ports that are free at this moment, held together so that they differ. */
async function freePorts(count: number): Promise<readonly number[]> {
  const servers = await Promise.all(
    Array.from(
      { length: count },
      () =>
        new Promise<ReturnType<typeof createServer>>((resolve, reject) => {
          const server = createServer()
          server.once('error', reject)
          server.listen(0, '127.0.0.1', () => resolve(server))
        }),
    ),
  )
  const ports = servers.map((server) => (server.address() as { port: number }).port)
  await Promise.all(servers.map((server) => new Promise((resolve) => server.close(resolve))))
  return ports
}

/** Path of the script that starts the kernel; it takes the connection file as its last word. */
export function kernelScript(): string {
  return fileURLToPath(new URL('./kernelMain.js', import.meta.url))
}
