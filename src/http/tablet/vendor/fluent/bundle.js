import { resolveComplexPattern } from "./resolver.js";
import { Scope } from "./scope.js";
import { FluentNone } from "./types.js";
import { NUMBER, DATETIME } from "./builtins.js";
import { getMemoizerForLocale } from "./memoizer.js";
export class FluentBundle {
	constructor(locales, { functions, useIsolating = true, transform = (v) => v, } = {}) {
		this._terms = new Map();
		this._messages = new Map();
		this.locales = Array.isArray(locales) ? locales : [locales];
		this._functions = {
			NUMBER,
			DATETIME,
			...functions,
		};
		this._useIsolating = useIsolating;
		this._transform = transform;
		this._intls = getMemoizerForLocale(locales);
	}
	hasMessage(id) {
		return this._messages.has(id);
	}
	getMessage(id) {
		return this._messages.get(id);
	}
	addResource(res, { allowOverrides = false, } = {}) {
		const errors = [];
		for (let i = 0; i < res.body.length; i++) {
			let entry = res.body[i];
			if (entry.id.startsWith("-")) {
				if (allowOverrides === false && this._terms.has(entry.id)) {
					errors.push(new Error(`Attempt to override an existing term: "${entry.id}"`));
					continue;
				}
				this._terms.set(entry.id, entry);
			}
			else {
				if (allowOverrides === false && this._messages.has(entry.id)) {
					errors.push(new Error(`Attempt to override an existing message: "${entry.id}"`));
					continue;
				}
				this._messages.set(entry.id, entry);
			}
		}
		return errors;
	}
	formatPattern(pattern, args = null, errors = null) {
		if (typeof pattern === "string") {
			return this._transform(pattern);
		}
		let scope = new Scope(this, errors, args);
		try {
			let value = resolveComplexPattern(scope, pattern);
			return value.toString(scope);
		}
		catch (err) {
			if (scope.errors && err instanceof Error) {
				scope.errors.push(err);
				return new FluentNone().toString(scope);
			}
			throw err;
		}
	}
}
