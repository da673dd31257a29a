export { type FormatName, numberFormats } from '../../messages/numberFormats.js'
