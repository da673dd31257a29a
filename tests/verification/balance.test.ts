import { describeTopic } from './topic.js'

describeTopic('balance')
