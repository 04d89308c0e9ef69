export function PeoplePage() { return null; } export function PersonPage(_: {code: string}) { return null; }
