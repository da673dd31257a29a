import { describeTopic } from './topic.js'

describeTopic('rates')
