export function TestPage(_: Record<string, string>) { return null; }
