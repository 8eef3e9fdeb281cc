/** One thing that is wrong in a configuration file, where it stands, and what to do about it. */
export interface ConfigError {
  file: string;
  /** 1-based. */
  line: number;
  /** 1-based, in UTF-16 code units. */
  column: number;
  message: string;
  remedy: string;
}

/** A value, or everything that is wrong with it; never an exception for bad text. */
export type Loaded<T> = { ok: true; value: T } | { ok: false; errors: ConfigError[] };

/** `file:line:column: what. What to do.` */
export function formatError(error: ConfigError): string {
  const { file, line, column } = error;
  return `${file}:${line}:${column}: ${sentence(error.message)} ${sentence(error.remedy)}`.trimEnd();
}

function sentence(text: string): string {
  return text === '' || /[.!?]$/.test(text) ? text : `${text}.`;
}
