export { type FormatName, type NumberFormat, numberFormats } from '../messages/numberFormats.js'
