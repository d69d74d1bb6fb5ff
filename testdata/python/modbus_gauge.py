# A gauge on Modbus, for tests: pymodbus of Debian answers for its registers.
# Usage: modbus_gauge.py rtu PORT | tcp HOST PORT
# Station 7 holds 1.234 mm as int32 in micrometres at register 256, high word
# first, -0.048 at input register 16 as int16, and 12.5 as a float at 300.
import struct
import sys

from pymodbus.datastore import ModbusSequentialDataBlock, ModbusServerContext, ModbusSlaveContext
from pymodbus.framer.rtu_framer import ModbusRtuFramer
from pymodbus.server import StartSerialServer, StartTcpServer

holding = [0] * 400
holding[256:258] = struct.unpack(">HH", struct.pack(">i", 1234))
holding[300:302] = struct.unpack(">HH", struct.pack(">f", 12.5))
inputs = [0] * 400
inputs[16] = struct.unpack(">H", struct.pack(">h", -48))[0]
station = ModbusSlaveContext(
    hr=ModbusSequentialDataBlock(0, holding), ir=ModbusSequentialDataBlock(0, inputs), zero_mode=True
)
context = ModbusServerContext(slaves={7: station}, single=False)
if sys.argv[1] == "rtu":
    StartSerialServer(context=context, framer=ModbusRtuFramer, port=sys.argv[2], baudrate=19200)
else:
    StartTcpServer(context=context, address=(sys.argv[2], int(sys.argv[3])))
