import { describeTopic } from './topic.js'

describeTopic('recurrent')
