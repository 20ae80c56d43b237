# The crew's tablet, in Spanish. Not yet read by a Spanish-speaking groundskeeper: see trade-words.md.

app-name = Roundhand
deeds = Qué hacer
back = Atrás
back-to-now = A la orden de ahora
to-now = { $crew }: a la orden de ahora
done = Listo
more = Más
why = Por qué
what = Qué
language = Idioma
somebody = alguien
elsewhere = En otro sitio
less-of = Menos: { $of }
more-of = Más: { $of }
pieces = { $number }
day-and-time = { $day }, { $time }
try-again = Probar otra vez
tell-office = Avisar a la oficina
in-own-words = Con sus palabras, si quiere
could-not-keep = No se pudo guardar aquí. Toque otra vez; si sigue igual, libere espacio y llame a la oficina.

## The line to the office

waiting = { $number } en espera
all-sent = Todo enviado
nothing-waits = Nada en espera
must-mend = { $number } por corregir
link-no-signal = Sin señal
link-sign-in = Entre otra vez
link-not-allowed = Esta tableta no tiene permiso aquí
link-trouble = La oficina no puede responder
sign-in-again = La oficina ya no conoce esta tableta. Todo lo que avisó está guardado y sale en cuanto entre.
pair-again = Vincular esta tableta
sign-in-as-person = Entrar
old-day = Hoy aún sin señal. Esta es la ronda del { $date }.
lightning-now = Rayos: todos fuera de las pistas
lightning-until = Nadie vuelve a salir antes de las { $time }, y solo cuando lo diga el jefe de equipo.
lightning-wait = Nadie vuelve a salir hasta que lo diga el jefe de equipo.
heat-now = Alto por calor: agua, sombra, descanso

## Who

who-title = Equipo y persona
who-holds = ¿Quién lleva la tableta?
which-site = Instalación
which-crew = Equipo
not-on-shift = { $crew } (sin turno)
who-needs-signal = La primera vez de un equipo hace falta señal. Vaya adonde la haya y pruebe otra vez.
who-sign-in = Primero entre: los enlaces están arriba.

## The order now

round = La ronda
round-done = La ronda está terminada
round-done-text = Hoy no queda nada para este equipo.
round-empty = Sin órdenes
round-empty-text = Hoy este equipo no tiene órdenes.
order-gone = Esta orden ya no está en la ronda
order-mend = Hay que corregir algo de lo que avisó: mire en «Avisos».
order-waits = Lo que avisó está guardado aquí y aún no se ha enviado.
by-when = Antes de las { $time }
kind-full-turnaround = puesta a punto completa
kind-short-turnaround = puesta a punto corta
kind-care = cuidado
state-planned = aún no entregada
state-issued = por hacer
state-under-way = en marcha
state-finished = devuelta
state-left-undone = sin hacer
state-withdrawn = retirada: no se hace
fit-yes = apta para jugar
fit-not-yet = aún no apta
fit-held = cerrada
pace-behind = { $time } de retraso
pace-ahead = { $time } de margen
pace-even = A la hora
held-because = Cerrada: { $why }
since = Desde { $time }, por { $who }
seen-since = desde { $time }
where = A { $along } de la red hacia el { $side ->
    [south] sur
   *[north] norte
  }, a { $across } del centro hacia el { $hand ->
    [west] oeste
   *[east] este
  }
groom-along = Pasar la rastra a lo largo
groom-across = Pasar la rastra a lo ancho
tools = Herramientas
materials = Del almacén
steps = Pasos
not-done = sin hacer
not-in-language = no está en su idioma
given-back = { $time }: { $state }
take-back-text = ¿No es así? Recupérela y termínela de nuevo.
start = Empezar
close = Terminar
leave-undone = Queda sin hacer
take-back = Recuperar
hold-court = Cerrar esta pista
something-seen = He visto algo

## Closing

close-title = Terminar: { $place }
all-as-planned = Todo según el plan
looked-and-net = Revisada, red comprobada
looked = Revisada
net-checked = Red comprobada
people = Quién y cuánto
one-more-person = Otra persona
one-more-material = Otra cosa del almacén
back-without-closing = Atrás sin terminar
fit-question = ¿Apta para jugar?
fit-question-bank = ¿Lista para usarse?
fit-yes-give = Sí, devolver
fit-not-yet-give = Aún no
fit-held-give = No, queda cerrada
not-ticked = Sin marcar: { $steps }. Lo que aún toque será una orden nueva.
look-first = Revise la pista y compruebe la red antes de decir que es apta.
give-all-the-same = Devolver de todos modos
until-when = ¿Hasta cuándo no es apta?
until-30-min = 30 min
until-1-h = 1 hora
until-2-h = 2 horas
until-evening = Esta tarde, { $time }
until-morning = { $time }
held-why = ¿Por qué se cierra?
treatment = Qué se aplicó
treatment-amount = Cuánto
treatment-who = Quién lo aplicó
treatment-where = Dónde
treatment-wind = Viento
treatment-lot = Lote, según el saco
treatment-missing = Falta decir de lo que se aplicó: { $what }
place-whole = toda la pista
place-north = mitad norte
place-south = mitad sur
place-edges = bordes
place-spots = puntos sueltos

## Left undone, hand over, hold, note

undone-title = Queda sin hacer: { $place }
undone-court-in-play = Se jugaba en la pista
undone-weather = El tiempo
undone-no-tool = No había la herramienta
undone-no-water = No había agua
undone-no-time = No alcanzó el tiempo
undone-unsafe = No era seguro
undone-other = Otra cosa
done-all-the-same = ¿Qué se hizo de todos modos?
give-undone = Devolver sin hacer
hand-over = Pasar a otro equipo
hand-over-title = Pasar a otro equipo: { $place }
hand-over-text = El otro equipo la recibe en cuanto esta tableta tenga señal.
hold-title = Cerrar la pista: { $place }
hold-text = Nadie juega en ella hasta que la abra el jefe de equipo o el encargado.
hold-now = Cerrarla ya
hold-lifted-tape = Cinta levantada
hold-hole = Un hoyo
hold-net-or-post = Red o poste
hold-glass = Vidrio
hold-standing-water = Agua estancada
hold-other = Otra cosa
add-note = Añadir una nota
note-title = Nota: { $place }

## Something seen

defect-title = He visto algo: { $place }
defect-low-spot = Hundimiento
defect-hole = Hoyo
defect-loose-line = Línea suelta
defect-lifted-tape = Cinta levantada
defect-torn-net = Red rota
defect-worn-strap = Cinta central gastada
defect-clogged-sprinkler = Aspersor atascado
defect-standing-water = Agua estancada
defect-weeds-or-algae = Hierbas o algas
defect-fence-or-windscreen = Valla o cortavientos
defect-glass-or-sharp = Vidrio o algo cortante
defect-other = Otra cosa
defect-shuts = Alguien puede hacerse daño. Si no se arregla ya, cierre también la pista.
defect-needs = Toque qué es y dónde está.
where-on-court = En qué punto de la pista
tap-the-court = Toque el lugar. El norte está arriba.
place-label = La pista: toque el lugar o muévalo con las flechas
show-or-say = Muéstrelo o dígalo
take-photo = Hacer una foto
voice-start = Decirlo (30 s)
voice-stop = Parar y guardar
pictures-kept = Fotos: { $photos }, notas de voz: { $notes }
photo-unreadable = Esta foto no se puede leer aquí. Lo demás se avisa igual.
no-microphone = No hay micrófono. Lo demás se avisa igual.

## Tools

tool-check = Revisar herramientas
tool-title = Revisar { $tool }
by-number = Por número
nets-and-lines = Redes y líneas
tool-needs = Lea una medida o diga cómo se ve una pieza.
by-eye = Cómo se ve
verdict-sound = Bien
verdict-worn = Gastada
verdict-change-now = Cambiar ya
new-and-limit = Nueva { $start }, agotada con { $limit }
whole-inches = Pulgadas enteras
eighths = Octavos
tens-of-mm = Decenas de mm
single-mm = Unidades de mm
take-last-away = Quitar la última
at-limit = Está agotada: cámbiela.
part-brush = Cepillo
part-sweeper-brush = Cepillo de líneas
part-centre-strap = Cinta central
part-net = Red
part-headband = Banda de la red
part-cable = Cable de la red
part-line-tape = Cinta de línea
part-windscreen = Cortavientos

## Incident, alone, lightning

incident-title = Accidente o casi accidente
emergency-first = ¿Hay alguien herido? Llame primero al número local de emergencias.
emergency-text = Después quédese a su lado. Avise a la oficina cuando venga la ayuda.
what-happened = Qué pasó
incident-slip-or-fall = Resbalón o caída
incident-struck = Golpe
incident-cut = Corte
incident-heat = Calor
incident-chemical = Producto químico
incident-electric = Corriente eléctrica
incident-vehicle = Carro o rodillo
incident-other = Otra cosa
incident-where = Dónde
anyone-hurt = ¿Hay alguien herido?
say-what-first = Toque primero qué pasó.
hurt-yes = Sí, hay alguien herido
hurt-no = No hay heridos
hurt-unknown = No se sabe
hurt-near-miss = Casi accidente: estuvo a punto de pasar
first-aid = Primeros auxilios:
first-aid-unknown = sin anotar para esta pista; pregunte a la oficina.
ambulance-way = Camino para la ambulancia:
ambulance-unknown = sin anotar para esta pista; mande a alguien a la entrada.
incident-told = Está avisado
incident-told-text = Una foto ayuda después, si hay tiempo.
alone-title = Trabajo a solas
alone-text = Se le pide una señal cada { $every }. Si no la da, la oficina lo ve.
alone-not-asked = Aquí no se piden señales. Acuerde con su jefe de equipo cada cuánto llama.
alone-begin = Trabajo a solas desde ahora
alone-who = { $who }, { $place }
alone-next = Próxima señal a las { $time }
alone-due = Dé la señal ahora
alone-missed = Faltó una señal. Tocaba a las { $time }.
alone-seen = La oficina tiene su última señal.
alone-waits = Su última señal no se ha enviado: la oficina no la tiene.
alone-unseen = Sin señal: la oficina no le ve. Acuerde una llamada o no trabaje a solas aquí.
alone-well = Estoy bien
alone-end = Ya no estoy a solas
alone-safety = Primero valen las normas locales sobre el trabajo a solas.
lightning-title = Truenos o rayos
lightning-text = Todos adentro enseguida: fuera de las pistas, lejos de vallas, postes y redes, a un edificio o un coche cerrado.
lightning-tell = Todos fuera de las pistas
lightning-again = ¿Se oyó otra vez? Toque de nuevo: la espera vuelve a empezar.
lightning-advice = Avise también a voces: puede que otros no tengan señal.

## The crew

people-title = Horas y equipo
clocks-title = { $crew }: horas
shift = Turno { $from }–{ $to }
joins-crew = Se une hoy a este equipo
leaves-crew = Deja el equipo
clock-in = Entrada
clock-break-start = Descanso
clock-break-end = Vuelta
clock-out = Salida
clock-is-none = sin entrada
clock-is-in = dentro desde { $time }
clock-is-break-start = en descanso desde { $time }
clock-is-break-end = de vuelta desde { $time }
clock-is-out = fuera desde { $time }
courts-title = Todas las pistas

## Told and sent

outbox-open = Ver
outbox-title = Avisos
to-mend = Por corregir
to-mend-text = La oficina no pudo tomarlo como se avisó. No se ha perdido nada.
mend = Corregir
send-again = Enviar otra vez
set-aside = Dejarlo así
was-set-aside = dejado así
not-sent = Aún sin enviar
send-now = Probar ahora
sent = Enviado
noted = Llegó tarde, anotado
noted-text = La oficina ya había seguido. Queda como nota: no hay que hacer nada.
pictures-wait = Fotos y notas de voz en espera: { $number }
pictures-refused = Fotos o notas de voz no tomadas: { $number }. Lo demás quedó avisado.
told-start = Empezar
told-finish = Terminar
told-leave-undone = Sin hacer
told-take-back = Recuperar
told-hand-over = Pasar a otro equipo
told-note = Nota
told-hold = Pista cerrada
told-defect = Algo visto
told-incident = Accidente
told-alone = A solas
told-attendance = Horas
told-crew-change = Cambio de equipo
told-tool-check = Herramientas
told-lightning = Rayos

## What the office could not take

fault-order-state = La orden ha seguido: esto ya no se puede hacer.
fault-court-held = La pista está cerrada. No es apta hasta que se abra.
fault-lightning = Rayos: todos fuera de las pistas. Espere el aviso para volver.
fault-not-happened-yet = La hora aún no ha llegado. Ponga en hora la tableta.
fault-before-the-day = La hora es anterior al día de la orden.
fault-before-the-start = La hora es anterior al comienzo de la orden.
fault-too-many-minutes = Los minutos de una persona no valen: de 1 a 960.
fault-in-two-places = Una persona estaba entonces en otra orden. Ponga menos minutos o quítela.
fault-unknown-person = La oficina no conoce a esta persona. Quítela.
fault-person-left = Esta persona ya no está. Quítela.
fault-no-pay-rate = Esta persona aún no tiene tarifa. El encargado la anota; después envíelo otra vez.
fault-unknown-material = El almacén no tiene esto. Quítelo.
fault-too-much-material = Es más de lo que puede ser. Ponga menos.
fault-unknown-tool = Esa herramienta ya no está aquí.
fault-unknown-part = Esa pieza ya no está aquí.
fault-part-not-fitted = Esta pieza no estaba puesta ese día.
fault-by-eye = Esta pieza se juzga a ojo, no se mide.
fault-longer-than-new = Es más larga que cuando era nueva. Léala otra vez.
fault-until-missing = Diga hasta cuándo no es apta la pista.
fault-until-out-of-range = La hora debe ser posterior al trabajo, un año después como mucho.
fault-reason-missing = Diga por qué.
fault-unknown-step = Un paso ya no es de esta orden. Marque de nuevo.
fault-nobody-told = Diga quién lo hizo y cuánto tardó.
fault-treatment-missing = Diga qué se aplicó: lote, cantidad, lugar, viento y quién.
fault-other = La oficina no pudo tomar esto.

## Chemicals

label-first = Lea la etiqueta antes de abrirlo: vale primero, con las normas locales y la práctica autorizada.
label-wear = Llevar: { $gear }
label-wind = Viento: { $wind } como mucho
label-air-least = Aire: { $air } como mínimo
label-air-most = Aire: { $air } como mucho
label-rest = Nadie en la pista durante { $time }
label-sheet = Ficha de seguridad: { $sheet }

## Cautions

caution-dust = La piedra molida levanta polvo fino. Trabaje con la pista húmeda y el viento de espaldas, y lleve una mascarilla que ajuste donde haya polvo.
caution-heat = Trabajo pesado con calor. Beba antes de tener sed, descanse a la sombra y cuídense unos a otros.
caution-chemicals = Lea la etiqueta antes de abrir el saco. Lleve los guantes y las gafas que pide, y mantenga a los jugadores fuera de la pista.
caution-roller = Aleje pies y manos del cilindro, y nunca deje el rodillo en una cuesta o con el motor en marcha.
caution-net-tension = El cable está tenso. Gire la manivela despacio, aparte la cara de su línea y nunca suelte la manivela.
caution-towing = Nadie va montado en lo que se remolca. Mire atrás antes de girar, vaya al paso y pare antes de desenganchar.
caution-pace = Tire de la herramienta a paso medio, sin parar. Demasiado rápido, salta y deja surcos.
caution-mains-pump = La bomba funciona con corriente de red. Manos y mangueras secas, y el armario solo para quien tenga autorización.
caution-other = Trabajo en el que alguien puede hacerse daño. Pregunte al jefe de equipo antes de empezar.

## Care tasks

task-leaves-off = Quitar las hojas
task-look-over = Revisar y pisar los hoyos
task-loosen = Soltar las líneas de fondo
task-raise-net = Levantar la red
task-light-wetting = Humedecer y esperar
task-groom = Pasar la rastra, bordes incluidos
task-clear-lines = Limpiar las líneas
task-lower-net = Bajar y comprobar la red
task-soak = Abrir el riego
task-hand-watering = Regar a mano
task-opening-walk = Ronda de apertura
task-closing-round = Ronda de cierre
task-roll = Pasar el rodillo
task-net-and-strap = Red y cinta con calibre
task-drains-and-heads = Desagües y aspersores
task-edges-and-weeds = Bordes y hierbas
task-low-spots = Buscar hundimientos
task-patch = Parchear
task-top-dressing = Recebo
task-calcium-chloride = Cloruro cálcico
