// Counting down, second by second, by the clock and not by the number of ticks.

/** Tell each second that is left, until none is or nobody wants to know any more. */
export async function counted(seconds, wanted, told) {
  const end = performance.now() + seconds * 1000;
  for (let left = seconds; left > 0 && wanted(); left -= 1) {
    told(left);
    await until(end - (left - 1) * 1000);
  }
}

const until = (time) =>
  new Promise((resolve) => {
    setTimeout(resolve, Math.max(0, time - performance.now()));
  });
