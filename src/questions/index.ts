export { type RemovalTorqueResult, removalTorque } from './removalTorque/answer.js'
export {
  type DeviceTorque,
  type TorqueResult,
  torqueAdherence,
  type WithinTolerance,
} from './torque/answer.js'
export { torqueChart } from './torque/chart.js'
