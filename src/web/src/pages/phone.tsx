export function PhonePage(_: Record<string, string>) { return null; }
