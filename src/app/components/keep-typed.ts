import { createEffect } from 'solid-js';

/**
 * For the `ref` of a text field: shows `text`, but never writes over what is being typed; when the field is left, it
 * shows what was taken over.
 */
export function keepTyped(text: () => string) {
  return (field: HTMLInputElement | HTMLTextAreaElement): void => {
    createEffect(() => {
      const now = text();
      if (document.activeElement !== field) field.value = now;
    });
    field.addEventListener('blur', () => {
      field.value = text();
    });
  };
}
