import { describeTopic } from './topic.js'

describeTopic('proportions')
