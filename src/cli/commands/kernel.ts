import { resolve } from 'node:path'
import type { Command } from 'commander'

/** Adds `holdfast kernel`: makes the kernel known to JupyterLab and VS Code. */
export function addKernel(program: Command): void {
  program
    .command('kernel')
    .description('make the notebook kernel known to JupyterLab and VS Code')
    .option('--out <dir>', "folder of kernels to write to, instead of the user's own")
    .helpOption('--help', 'print this help')
    .addHelpText('after', '\nExamples:\n  holdfast kernel\n  holdfast kernel --out kernels')
    .action(async (options: { out?: string }) => {
      const { userKernelsFolder, writeKernelSpecification } = await import(
        '../../notebook/kernelSpecification.js'
      )
      const file = await writeKernelSpecification(resolve(options.out ?? userKernelsFolder()))
      process.stdout.write(
        [
          `Written: ${file}`,
          'It starts the kernel of this folder; if the folder moves, run this command again.',
          'JupyterLab: start it, open a notebook of the folder notebooks, and choose the kernel "Holdfast (TypeScript)".',
          'VS Code: with the Jupyter extension, open a notebook, then Select Kernel, Jupyter Kernel, "Holdfast (TypeScript)".',
          '',
        ].join('\n'),
      )
    })
}
