import koffi from 'koffi';

const libc = koffi.load(null);
const ptrace = libc.func('long ptrace(int, int, void *, void *)') as (
  request: number,
  tid: number,
  address: null,
  data: null,
) => number;
const waitpid = libc.func('int waitpid(int, _Out_ int *, int)') as (
  tid: number,
  status: number[],
  options: number,
) => number;
// linux/ptrace.h, linux/wait.h
const [DETACH, SEIZE, INTERRUPT, WALL] = [17, 0x4206, 0x4207, 0x4000_0000];

/** Stops one thread of another process, as a debugger does, until the function that is given back is called. */
export function stopThread(tid: number): () => void {
  must('seize', ptrace(SEIZE, tid, null, null) === 0);
  must('interrupt', ptrace(INTERRUPT, tid, null, null) === 0);
  must('wait', waitpid(tid, [0], WALL) === tid);
  return () => {
    must('detach', ptrace(DETACH, tid, null, null) === 0);
  };
}

function must(what: string, done: boolean): void {
  if (!done) throw new Error(`ptrace, ${what}: errno ${koffi.errno()}`);
}
