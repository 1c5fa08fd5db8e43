import type { JSX } from 'solid-js';

interface FilePickerProps {
  readonly onFiles: (files: FileList) => void;
  readonly class?: string;
  /** Scans alone, one at a time; else scans, click files and case files. */
  readonly oneScan?: boolean;
  /** Scans alone, several at a time. */
  readonly scans?: boolean;
  /** Tables alone. */
  readonly tables?: boolean;
  readonly disabled?: boolean;
  readonly children: JSX.Element;
}

/** A button that opens the browser's file dialog. */
export function FilePicker(props: FilePickerProps) {
  let input!: HTMLInputElement;
  return (
    <>
      <button
        type="button"
        class={props.class ?? 'button'}
        disabled={props.disabled ?? false}
        onClick={() => input.click()}
      >
        {props.children}
      </button>
      <input
        ref={input}
        type="file"
        hidden
        multiple={!props.oneScan}
        accept={
          props.tables ? '.csv,.txt' : props.oneScan || props.scans ? '.stl,.ply' : '.stl,.ply,.json,.zip'
        }
        onChange={() => {
          if (input.files && input.files.length > 0) props.onFiles(input.files);
          input.value = '';
        }}
      />
    </>
  );
}
