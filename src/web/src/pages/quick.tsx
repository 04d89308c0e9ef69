export function QuickPage(_: Record<string, string>) { return null; }
