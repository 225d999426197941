import { useEffect, useState } from "react";

/** The newest value there was: while another question is being answered the last answer stays, so that nothing blinks. */
export function useLast<T>(value: T | undefined): T | undefined {
  const [last, setLast] = useState(value);
  if (value !== undefined && value !== last) setLast(value);
  return value ?? last;
}

const REST_MILLISECONDS = 180;

/** A value once it has rested: what takes long to answer is not asked at every step of a drag. */
export function useRested<T>(value: T): T {
  const [rested, setRested] = useState(value);
  useEffect(() => {
    const timer = setTimeout(() => setRested(value), REST_MILLISECONDS);
    return () => clearTimeout(timer);
  }, [value]);
  return rested;
}
