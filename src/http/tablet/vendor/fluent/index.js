export { FluentBundle } from "./bundle.js";
export { FluentResource } from "./resource.js";
export { FluentType, FluentNone, FluentNumber, FluentDateTime, } from "./types.js";
