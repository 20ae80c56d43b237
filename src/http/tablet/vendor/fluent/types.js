export class FluentType {
	constructor(value) {
		this.value = value;
	}
	valueOf() {
		return this.value;
	}
}
export class FluentNone extends FluentType {
	constructor(value = "???") {
		super(value);
	}
	toString(scope) {
		return `{${this.value}}`;
	}
}
export class FluentNumber extends FluentType {
	constructor(value, opts = {}) {
		super(value);
		this.opts = opts;
	}
	toString(scope) {
		if (scope) {
			try {
				const nf = scope.memoizeIntlObject(Intl.NumberFormat, this.opts);
				return nf.format(this.value);
			}
			catch (err) {
				scope.reportError(err);
			}
		}
		return this.value.toString(10);
	}
}
export class FluentDateTime extends FluentType {
	static supportsValue(value) {
		if (typeof value === "number")
			return true;
		if (value instanceof Date)
			return true;
		if (value instanceof FluentType)
			return FluentDateTime.supportsValue(value.valueOf());
		if ("Temporal" in globalThis) {
			const _Temporal = globalThis.Temporal;
			if (value instanceof _Temporal.Instant ||
				value instanceof _Temporal.PlainDateTime ||
				value instanceof _Temporal.PlainDate ||
				value instanceof _Temporal.PlainMonthDay ||
				value instanceof _Temporal.PlainTime ||
				value instanceof _Temporal.PlainYearMonth) {
				return true;
			}
		}
		return false;
	}
	constructor(value, opts = {}) {
		if (value instanceof FluentDateTime) {
			opts = { ...value.opts, ...opts };
			value = value.value;
		}
		else if (value instanceof FluentType) {
			value = value.valueOf();
		}
		if (typeof value === "object" &&
			"calendarId" in value &&
			opts.calendar === undefined) {
			opts = { ...opts, calendar: value.calendarId };
		}
		super(value);
		this.opts = opts;
	}
	[Symbol.toPrimitive](hint) {
		return hint === "string" ? this.toString() : this.toNumber();
	}
	toNumber() {
		const value = this.value;
		if (typeof value === "number")
			return value;
		if (value instanceof Date)
			return value.getTime();
		if ("epochMilliseconds" in value) {
			return value.epochMilliseconds;
		}
		if ("toZonedDateTime" in value) {
			return value.toZonedDateTime("UTC").epochMilliseconds;
		}
		throw new TypeError("Unwrapping a non-number value as a number");
	}
	toString(scope) {
		if (scope) {
			try {
				const dtf = scope.memoizeIntlObject(Intl.DateTimeFormat, this.opts);
				return dtf.format(this.value);
			}
			catch (err) {
				scope.reportError(err);
			}
		}
		if (typeof this.value === "number" || this.value instanceof Date) {
			return new Date(this.value).toISOString();
		}
		return this.value.toString();
	}
}
