/**
 * Puts made parts in the places of a text, `{{name}}` on a line of its own.
 * @throws RangeError when a place has no part, or a part no place
 */
export function fillTemplate(template: string, parts: Readonly<Record<string, string>>): string {
  const used = new Set<string>();
  const filled = template.replace(/^\{\{([a-z-]+)\}\}$/gm, (_, name: string) => {
    const part = parts[name];
    if (part === undefined) throw new RangeError(`the template asks for ${name}, which was not made`);
    used.add(name);
    return part;
  });
  const left = Object.keys(parts).filter((name) => !used.has(name));
  if (left.length > 0) throw new RangeError(`the template has no place for ${left.join(', ')}`);
  return filled;
}
