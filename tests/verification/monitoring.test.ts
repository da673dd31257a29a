import { describeTopic } from './topic.js'

describeTopic('monitoring')
