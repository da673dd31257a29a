import typescript from 'typescript'
import { expect, it } from 'vitest'
import * as holdfast from '../../dist/index.js'
import { type Compiler, doorFromDeclarations, frontDoor } from '../../dist/notebook/frontDoor.js'

it('the names that a kernel has without an import list are those that the build wrote down, each where it is declared', () => {
  const compiler = typescript as unknown as Compiler
  const unread: Compiler = { ...compiler, createSourceFile: () => expect.fail('the declarations were read') }
  const written = frontDoor(unread)
  expect(written).toEqual(doorFromDeclarations(compiler))
  expect([...written.keys()]).toEqual(expect.arrayContaining(Object.keys(holdfast)))
})
