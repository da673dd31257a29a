import { homedir } from 'node:os'
import { join } from 'node:path'
import { writeWhole } from '../core/wholeFiles.js'
import { kernelScript } from './kernel.js'

/** The name under which front ends list the kernel. */
const kernelName = 'holdfast'

/** Writes the kernel specification into a folder of kernels; answers with the file. */
export async function writeKernelSpecification(kernelsFolder: string): Promise<string> {
  const file = join(kernelsFolder, kernelName, 'kernel.json')
  const specification = {
    argv: [process.execPath, kernelScript(), '{connection_file}'],
    display_name: 'Holdfast (TypeScript)',
    language: 'typescript',
    interrupt_mode: 'signal',
  }
  await writeWhole([{ path: file, content: `${JSON.stringify(specification, null, 2)}\n` }])
  return file
}

/** The user's own folder of Jupyter kernels, where JupyterLab and VS Code look. */
export function userKernelsFolder(
  platform: NodeJS.Platform = process.platform,
  environment: Readonly<Record<string, string | undefined>> = process.env,
  home: string = homedir(),
): string {
  if (environment.JUPYTER_DATA_DIR) return join(environment.JUPYTER_DATA_DIR, 'kernels')
  if (platform === 'darwin') return join(home, 'Library', 'Jupyter', 'kernels')
  if (platform === 'win32')
    return join(environment.APPDATA ?? join(home, 'AppData', 'Roaming'), 'jupyter', 'kernels')
  return join(environment.XDG_DATA_HOME ?? join(home, '.local', 'share'), 'jupyter', 'kernels')
}
