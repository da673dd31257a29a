import { describeTopic } from './topic.js'

describeTopic('logrank')
