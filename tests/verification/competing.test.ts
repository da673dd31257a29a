import { describeTopic } from './topic.js'

describeTopic('competing')
