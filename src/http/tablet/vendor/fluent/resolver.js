import { FluentType, FluentNone, FluentNumber, FluentDateTime, } from "./types.js";
const MAX_PLACEABLES = 100;
const FSI = "\u2068";
const PDI = "\u2069";
function match(scope, selector, key) {
	if (key === selector) {
		return true;
	}
	if (key instanceof FluentNumber &&
		selector instanceof FluentNumber &&
		key.value === selector.value) {
		return true;
	}
	if (selector instanceof FluentNumber && typeof key === "string") {
		let category = scope
			.memoizeIntlObject(Intl.PluralRules, selector.opts)
			.select(selector.value);
		if (key === category) {
			return true;
		}
	}
	return false;
}
function getDefault(scope, variants, star) {
	if (variants[star]) {
		return resolvePattern(scope, variants[star].value);
	}
	scope.reportError(new RangeError("No default"));
	return new FluentNone();
}
function getArguments(scope, args) {
	const positional = [];
	const named = Object.create(null);
	for (const arg of args) {
		if (arg.type === "narg") {
			named[arg.name] = resolveExpression(scope, arg.value);
		}
		else {
			positional.push(resolveExpression(scope, arg));
		}
	}
	return { positional, named };
}
function resolveExpression(scope, expr) {
	switch (expr.type) {
		case "str":
			return expr.value;
		case "num":
			return new FluentNumber(expr.value, {
				minimumFractionDigits: expr.precision,
			});
		case "var":
			return resolveVariableReference(scope, expr);
		case "mesg":
			return resolveMessageReference(scope, expr);
		case "term":
			return resolveTermReference(scope, expr);
		case "func":
			return resolveFunctionReference(scope, expr);
		case "select":
			return resolveSelectExpression(scope, expr);
		default:
			return new FluentNone();
	}
}
function resolveVariableReference(scope, { name }) {
	let arg;
	if (scope.params) {
		if (Object.prototype.hasOwnProperty.call(scope.params, name)) {
			arg = scope.params[name];
		}
		else {
			return new FluentNone(`$${name}`);
		}
	}
	else if (scope.args &&
		Object.prototype.hasOwnProperty.call(scope.args, name)) {
		arg = scope.args[name];
	}
	else {
		scope.reportError(new ReferenceError(`Unknown variable: $${name}`));
		return new FluentNone(`$${name}`);
	}
	if (arg instanceof FluentType) {
		return arg;
	}
	switch (typeof arg) {
		case "string":
			return arg;
		case "number":
			return new FluentNumber(arg);
		case "object":
			if (FluentDateTime.supportsValue(arg)) {
				return new FluentDateTime(arg);
			}
		default:
			scope.reportError(new TypeError(`Variable type not supported: $${name}, ${typeof arg}`));
			return new FluentNone(`$${name}`);
	}
}
function resolveMessageReference(scope, { name, attr }) {
	const message = scope.bundle._messages.get(name);
	if (!message) {
		scope.reportError(new ReferenceError(`Unknown message: ${name}`));
		return new FluentNone(name);
	}
	if (attr) {
		const attribute = message.attributes[attr];
		if (attribute) {
			return resolvePattern(scope, attribute);
		}
		scope.reportError(new ReferenceError(`Unknown attribute: ${attr}`));
		return new FluentNone(`${name}.${attr}`);
	}
	if (message.value) {
		return resolvePattern(scope, message.value);
	}
	scope.reportError(new ReferenceError(`No value: ${name}`));
	return new FluentNone(name);
}
function resolveTermReference(scope, { name, attr, args }) {
	const id = `-${name}`;
	const term = scope.bundle._terms.get(id);
	if (!term) {
		scope.reportError(new ReferenceError(`Unknown term: ${id}`));
		return new FluentNone(id);
	}
	if (attr) {
		const attribute = term.attributes[attr];
		if (attribute) {
			scope.params = getArguments(scope, args).named;
			const resolved = resolvePattern(scope, attribute);
			scope.params = null;
			return resolved;
		}
		scope.reportError(new ReferenceError(`Unknown attribute: ${attr}`));
		return new FluentNone(`${id}.${attr}`);
	}
	scope.params = getArguments(scope, args).named;
	const resolved = resolvePattern(scope, term.value);
	scope.params = null;
	return resolved;
}
function resolveFunctionReference(scope, { name, args }) {
	let func = scope.bundle._functions[name];
	if (!func) {
		scope.reportError(new ReferenceError(`Unknown function: ${name}()`));
		return new FluentNone(`${name}()`);
	}
	if (typeof func !== "function") {
		scope.reportError(new TypeError(`Function ${name}() is not callable`));
		return new FluentNone(`${name}()`);
	}
	try {
		let resolved = getArguments(scope, args);
		return func(resolved.positional, resolved.named);
	}
	catch (err) {
		scope.reportError(err);
		return new FluentNone(`${name}()`);
	}
}
function resolveSelectExpression(scope, { selector, variants, star }) {
	let sel = resolveExpression(scope, selector);
	if (sel instanceof FluentNone) {
		return getDefault(scope, variants, star);
	}
	for (const variant of variants) {
		const key = resolveExpression(scope, variant.key);
		if (match(scope, sel, key)) {
			return resolvePattern(scope, variant.value);
		}
	}
	return getDefault(scope, variants, star);
}
export function resolveComplexPattern(scope, ptn) {
	if (scope.dirty.has(ptn)) {
		scope.reportError(new RangeError("Cyclic reference"));
		return new FluentNone();
	}
	scope.dirty.add(ptn);
	const result = [];
	const useIsolating = scope.bundle._useIsolating && ptn.length > 1;
	for (const elem of ptn) {
		if (typeof elem === "string") {
			result.push(scope.bundle._transform(elem));
			continue;
		}
		scope.placeables++;
		if (scope.placeables > MAX_PLACEABLES) {
			scope.dirty.delete(ptn);
			throw new RangeError(`Too many placeables expanded: ${scope.placeables}, ` +
				`max allowed is ${MAX_PLACEABLES}`);
		}
		if (useIsolating) {
			result.push(FSI);
		}
		result.push(resolveExpression(scope, elem).toString(scope));
		if (useIsolating) {
			result.push(PDI);
		}
	}
	scope.dirty.delete(ptn);
	return result.join("");
}
function resolvePattern(scope, value) {
	if (typeof value === "string") {
		return scope.bundle._transform(value);
	}
	return resolveComplexPattern(scope, value);
}
