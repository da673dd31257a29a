import { workerData } from 'node:worker_threads'
import { type Replicate, runShare, type ThreadOrder } from './resampling.js'

const order = workerData as ThreadOrder
const module = (await import(order.module)) as Record<string, (input: unknown) => Replicate>
runShare(module[order.prepare]!(order.input), order.shared, order.width, order.seed, order.first, order.step)
