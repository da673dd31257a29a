import { describeTopic } from './topic.js'

describeTopic('strd')
