import { eventsForHazardRatioPrecision, eventsForRatePrecision, sizeForProportionWidth, sizeForZeroEvents } from 'holdfast/statistics'

console.log('5% within a width of 4 points:', sizeForProportionWidth(0.05, 0.04).sizeRoundedUp)
console.log('rate within a factor of 2 in all:', eventsForRatePrecision(2).size, 'events')
console.log('hazard ratio within a factor of 3 in all:', eventsForHazardRatioPrecision(3).sizeRoundedUp, 'events')
console.log('none among', sizeForZeroEvents(0.02).exactRoundedUp, 'rules out 2%')
