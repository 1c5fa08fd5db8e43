import { onCleanup } from 'solid-js';

/** Names whose group is gone from the page. */
const free: string[] = [];
let made = 0;

/**
 * The name of a group of radio buttons, no other living group has it. Names are used again: a browser remembers every
 * name of a group that a page ever had, so that fresh ones would grow with each case that is opened.
 */
export function groupName(): string {
  const name = free.pop() ?? `choice-${++made}`;
  onCleanup(() => void free.push(name));
  return name;
}
