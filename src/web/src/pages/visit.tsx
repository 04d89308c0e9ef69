export function VisitPage(_: Record<string, string>) { return null; }
