export default { test: { include: ["tests/statistics/**/*.test.ts","tests/properties/**/*.test.ts","tests/verification/**/*.test.ts"],
      exclude: ['**/node_modules/**', 'tests/verification/simulation/**', 'tests/statistics/everyCall.test.ts'],
      testTimeout: 120000, hookTimeout: 240000 } }
