export async function sense(args: readonly string[]): Promise<number> {
  return args.length
}
