/**
 * The globals that cells use most, so that the compiler need not read the types of all of Node. A cell that names anything
 * else of Node is given those (src/notebook/cellCompiler.ts).
 */
declare namespace NodeJS {
  interface ProcessEnv {
    [name: string]: string | undefined
  }
  interface Process {
    readonly env: ProcessEnv
    readonly platform: string
    readonly version: string
    cwd(): string
    exit(code?: number): never
    memoryUsage(): {
      rss: number
      heapTotal: number
      heapUsed: number
      external: number
      arrayBuffers: number
    }
    resourceUsage(): { userCPUTime: number; systemCPUTime: number; maxRSS: number }
  }
  interface Timeout {
    ref(): this
    unref(): this
    hasRef(): boolean
    refresh(): this
    [Symbol.toPrimitive](): number
  }
}
interface Console {
  log(...values: any[]): void
  info(...values: any[]): void
  warn(...values: any[]): void
  error(...values: any[]): void
  table(rows: any, columns?: readonly string[]): void
  time(label?: string): void
  timeEnd(label?: string): void
}
declare var console: Console
declare var process: NodeJS.Process
declare function setTimeout<Given extends any[]>(
  callback: (...given: Given) => void,
  milliseconds?: number,
  ...given: Given
): NodeJS.Timeout
declare function setTimeout(callback: (nothing: void) => void, milliseconds?: number): NodeJS.Timeout
declare function clearTimeout(timeout: NodeJS.Timeout | string | number | undefined): void
declare function structuredClone<Value>(value: Value): Value
